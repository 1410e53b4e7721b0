"""What every suite written in Python shares: the place of things, and an ending that tests/run can count.

    import sys, pathlib
    sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
    import suite

    class Something(suite.TestCase): ...

    if __name__ == "__main__":
        suite.main()
"""

import os
import pathlib
import sys
import unittest

TREE = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = pathlib.Path(os.environ.get("LOOMPROOF_PROGRAM", TREE / "out/build/release/loomproof"))

TestCase = unittest.TestCase


def main():
    """Runs the test cases of the script, prints `N passed, N failed` as the last line and exits with 1 where one failed.

    A skipped test counts as failed: what a suite promises to check, it checks.
    """
    tests = unittest.defaultTestLoader.loadTestsFromModule(sys.modules["__main__"])
    runner = unittest.TextTestRunner(stream=sys.stdout, verbosity=0)
    result = runner.run(tests)
    went_wrong = result.failures + result.errors + result.skipped
    for test, reason in result.skipped:
        print(f"skipped: {test}: {reason}")
    failed = {getattr(test, "test_case", test).id() for test, _ in went_wrong}
    failed |= {test.id() for test in result.unexpectedSuccesses}
    passed = max(result.testsRun - len(failed), 0)
    print(f"{passed} passed, {len(failed)} failed")
    sys.exit(1 if failed else 0)
