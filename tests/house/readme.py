"""What README.md shows is what the program does: every file in it is written, every command run, every output compared.

A block ```loom NAME` is a file; a block ```console` begins with `$ loomproof ...` and goes on with the whole output. `tests/run --accept`
renews the outputs.
"""

import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

README = suite.TREE / "README.md"
BLOCK = re.compile(r"^```(\w+)(?: ([^\n]*))?\n(.*?)^```$", re.S | re.M)


def run(command, folder):
    words = shlex.split(command)
    assert words[0] == "loomproof", command
    ran = subprocess.run([suite.PROGRAM, *words[1:]], cwd=folder, capture_output=True, text=True, timeout=60)
    assert ran.returncode in (0, 1), f"{command}: {ran.stderr}"
    return ran.stdout


class Readme(suite.TestCase):
    def test_every_file_and_output(self):
        text = README.read_text()
        folder = pathlib.Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, folder)
        shutil.copytree(suite.TREE / "netlists", folder / "netlists")
        files = commands = 0
        renewed, end = "", 0
        for block in BLOCK.finditer(text):
            kind, name, body = block.groups()
            renewed += text[end : block.start()]
            end = block.end()
            shown = block.group(0)
            if kind == "loom" and name:
                (folder / name).write_text(body)
                files += 1
            elif kind == "console":
                command, _, stored = body.partition("\n")
                self.assertTrue(command.startswith("$ loomproof "), command)
                made = run(command[2:], folder)
                shown = f"```console\n{command}\n{made}```"
                commands += 1
                if not os.environ.get("LOOMPROOF_ACCEPT"):
                    self.assertEqual(stored, made, f"README.md shows another output of: {command[2:]}")
            renewed += shown
        if os.environ.get("LOOMPROOF_ACCEPT"):
            README.write_text(renewed + text[end:])
        self.assertGreaterEqual(files, 2)
        self.assertGreaterEqual(commands, 3)

    def test_pictures_and_links_exist(self):
        for target in re.findall(r"\]\(([^)#]+)\)", README.read_text()):
            if "://" not in target:
                self.assertTrue((suite.TREE / target).exists(), target)


if __name__ == "__main__":
    suite.main()
