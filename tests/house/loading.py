"""What the program loads: a check starts with the C library alone, a drawing brings the layout module, nothing more.

Read from the dynamic linker itself (LD_DEBUG=files, see ld.so(8)), which names each library as it is initialised.
"""

import os
import pathlib
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

VEHICLE = suite.TREE / "netlists/demo-vehicle.loom"
C_LIBRARY = {"libc", "libm", "ld-linux-x86-64"}


def loaded_by(*arguments):
    """The libraries that one run of the program loads, by name without version; and that run."""
    with tempfile.TemporaryDirectory() as folder:
        log = pathlib.Path(folder) / "loaded"
        ran = subprocess.run([suite.PROGRAM, *arguments], cwd=folder, capture_output=True, text=True,
                             env={**os.environ, "LD_DEBUG": "files", "LD_DEBUG_OUTPUT": str(log)})
        text = "".join(part.read_text() for part in sorted(pathlib.Path(folder).glob("loaded.*")))
    return {pathlib.Path(path).name.split(".so")[0] for path in re.findall(r"calling init: (\S+)", text)}, ran


class Loading(suite.TestCase):
    def test_a_check_loads_the_c_library_alone(self):
        loaded, ran = loaded_by("check", VEHICLE)
        self.assertEqual(ran.returncode, 1, ran.stderr)
        self.assertIn("libc", loaded)
        self.assertEqual(loaded - C_LIBRARY, set())

    def test_help_loads_the_c_library_alone(self):
        loaded, ran = loaded_by("--help")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        self.assertEqual(loaded - C_LIBRARY, set())


    def test_a_drawing_brings_the_layout_module_and_no_second_c_plus_plus_library(self):
        loaded, ran = loaded_by("draw", VEHICLE, "-o", "drawing.svg")
        self.assertEqual(ran.returncode, 0, ran.stderr)
        self.assertIn("loomproof-layout", loaded)
        self.assertIn("libgvplugin_dot_layout", loaded)
        self.assertEqual({name for name in loaded if re.match("libstdc|libpango|libcairo|libgvplugin_(core|pango)", name)},
                         set())


if __name__ == "__main__":
    suite.main()
