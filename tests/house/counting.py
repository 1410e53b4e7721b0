"""tests/run and .ci/run must not lose a failure: each way for a suite to go wrong, in a small tree with made-up suites."""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

GOOD = """echo '[doctest] test cases:  3 |  3 passed | 0 failed | 0 skipped'
echo '[doctest] assertions: 12 | 12 passed | 0 failed |'"""


class Counting(suite.TestCase):
    def setUp(self):
        self.tree = pathlib.Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.tree)
        for script in ["tests/run", ".ci/run"]:
            (self.tree / script).parent.mkdir()
            shutil.copy(suite.TREE / script, self.tree / script)
        self.call_slow("")
        self.script(".ci/install", "exit 0")
        self.script(".ci/build", "exit 0")
        self.suites = []

    def script(self, path, body):
        (self.tree / path).parent.mkdir(parents=True, exist_ok=True)
        (self.tree / path).write_text(f"#!/usr/bin/env bash\n{body}\n")
        (self.tree / path).chmod(0o755)

    def add(self, name, body):
        """A suite: a program that stands for what a build makes, or a Python script."""
        self.suites.append(name)
        for preset in ["release", "sanitize"]:
            if name.endswith(".py"):
                (self.tree / name).parent.mkdir(exist_ok=True)
                (self.tree / name).write_text(body)
            else:
                self.script(f"out/build/{preset}/{name}_tests", body)
            (self.tree / f"out/build/{preset}").mkdir(parents=True, exist_ok=True)
            (self.tree / f"out/build/{preset}/suites").write_text("\n".join(self.suites) + "\n")

    def call_slow(self, name):
        text, changes = re.subn(r"(?m)^slow=\(.*\)$", f"slow=({name})", (self.tree / "tests/run").read_text())
        self.assertEqual(changes, 1)
        (self.tree / "tests/run").write_text(text)

    def run_it(self, *command):
        """Exit status, whole output, last line."""
        ran = subprocess.run(command, cwd=self.tree, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
                             env={**os.environ, "LOOMPROOF_ACCEPT": ""})
        return ran.returncode, ran.stdout, ran.stdout.rstrip("\n").split("\n")[-1]

    def expect(self, status, last, words="", *options):
        got = self.run_it("tests/run", *options)
        self.assertEqual(got[2], last, got[1])
        self.assertEqual(got[0], status, got[1])
        self.assertIn(words, got[1])

    def test_counts_are_added_over_both_kinds_of_suites(self):
        self.add("base", GOOD)
        self.add("tests/peers/graph.py", "print('some words')\nprint('4 passed, 0 failed')")
        self.expect(0, "7 passed, 0 failed")

    def test_a_failing_test_case(self):
        self.add("base", "echo '[doctest] test cases:  3 |  2 passed | 1 failed | 0 skipped'\necho what was wrong\nexit 1")
        self.add("netlist", GOOD)
        self.expect(1, "5 passed, 1 failed", "what was wrong")

    def test_a_failing_script(self):
        self.add("tests/peers/graph.py", "print('4 passed, 2 failed')")
        self.expect(1, "4 passed, 2 failed")

    def test_a_suite_that_ends_badly_though_all_tests_passed(self):
        self.add("base", GOOD + "\nexit 1")
        self.expect(1, "3 passed, 1 failed", "ended with status 1")

    def test_a_suite_that_crashes_before_it_counts(self):
        self.add("base", "kill -SEGV $$")
        self.add("tests/peers/graph.py", "import no_such_module")
        self.expect(1, "0 passed, 2 failed", "No module named 'no_such_module'")

    def test_a_script_that_says_more_after_its_count(self):
        self.add("tests/peers/graph.py", "print('4 passed, 0 failed')\nraise SystemExit('late trouble')")
        self.expect(1, "0 passed, 1 failed", "ended without a count")

    def test_a_suite_with_no_test(self):
        self.add("base", "echo '[doctest] test cases:  0 |  0 passed | 0 failed | 0 skipped'")
        self.add("tests/peers/graph.py", "print('0 passed, 0 failed')")
        self.expect(1, "0 passed, 2 failed", "has no test")

    def test_a_suite_that_skips(self):
        self.add("base", "echo '[doctest] test cases:  3 |  3 passed | 0 failed | 2 skipped'")
        self.expect(1, "3 passed, 1 failed", "skips 2 of its tests")

    def test_a_suite_whose_program_is_missing(self):
        self.add("base", GOOD)
        (self.tree / "out/build/release/base_tests").unlink()
        self.expect(1, "0 passed, 1 failed")

    def test_no_suite_at_all(self):
        self.add("base", GOOD)
        (self.tree / "out/build/release/suites").write_text("")
        self.expect(1, "0 passed, 1 failed", "no suite ran")

    def test_a_build_or_an_installation_that_fails(self):
        self.add("base", GOOD)
        self.script(".ci/build", "echo does not compile >&2; exit 1")
        self.expect(1, "0 passed, 1 failed", "does not compile")
        self.script(".ci/build", "exit 0")
        self.script(".ci/install", "exit 1")
        self.expect(1, "0 passed, 1 failed")

    def test_quick_leaves_out_the_slow_suites_by_name(self):
        self.add("base", GOOD)
        self.add("solve", GOOD)
        self.call_slow("solve")
        self.expect(0, "3 passed, 0 failed", "left out because of --quick: solve", "--quick")
        self.expect(0, "6 passed, 0 failed")

    def test_a_slow_suite_that_does_not_exist(self):
        self.add("base", GOOD)
        self.call_slow("gone")
        self.expect(1, "0 passed, 1 failed", "does not exist: gone", "--quick")

    def test_stored_outputs_are_renewed_only_on_request(self):
        self.add("base", GOOD + '\n[ "$LOOMPROOF_ACCEPT" != 1 ]')
        self.expect(0, "3 passed, 0 failed")
        self.expect(1, "3 passed, 1 failed", "renewed", "--accept")

    def test_the_sanitizers_run_the_programs_and_not_the_scripts(self):
        self.add("base", GOOD)
        self.add("tests/peers/graph.py", "print('4 passed, 0 failed')")
        self.expect(0, "3 passed, 0 failed", "out/build/sanitize", "--sanitize")

    def test_an_unknown_option(self):
        self.add("base", GOOD)
        self.assertEqual(self.run_it("tests/run", "--fast")[0], 2)

    def with_demo(self, body):
        self.script("netlists/demo", body)
        (self.tree / "out").mkdir(exist_ok=True)
        (self.tree / "out/demo.txt").write_text("as stored\n")
        (self.tree / ".gitignore").write_text("/out/build/\n")
        for command in ["init -q", "add .", "-c user.name=x -c user.email=x@localhost commit -q -m x"]:
            subprocess.run(["git", *command.split()], cwd=self.tree, check=True)

    def test_the_integration_run_adds_both_builds_and_the_demo(self):
        self.add("base", GOOD)
        self.add("tests/peers/graph.py", "print('4 passed, 0 failed')")
        self.with_demo("echo as stored >out/demo.txt")
        status, output, last = self.run_it(".ci/run")
        self.assertEqual((status, last), (0, "11 passed, 0 failed"), output)
        self.assertIn("== tests/run --sanitize took", output)

    def test_the_integration_run_fails_where_only_one_of_the_builds_does(self):
        self.add("base", GOOD)
        self.with_demo("exit 0")
        self.script("out/build/sanitize/base_tests", "kill -ABRT $$")
        status, output, last = self.run_it(".ci/run")
        self.assertEqual((status, last), (1, "4 passed, 1 failed"), output)

    def test_the_integration_run_fails_where_the_demo_does(self):
        self.add("base", GOOD)
        self.with_demo("exit 2")
        status, output, last = self.run_it(".ci/run")
        self.assertEqual((status, last), (1, "6 passed, 1 failed"), output)

    def test_the_integration_run_fails_where_the_demo_makes_something_else_than_what_is_stored(self):
        self.add("base", GOOD)
        for body in ["echo something else >out/demo.txt", "echo more >out/demo.svg"]:
            with self.subTest(body):
                self.with_demo(body)
                status, output, last = self.run_it(".ci/run")
                self.assertEqual((status, last), (1, "6 passed, 1 failed"), output)


if __name__ == "__main__":
    suite.main()
