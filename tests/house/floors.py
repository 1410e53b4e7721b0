"""The house rules that a reader relies on: who may include whom, where heavy libraries live, what is tracked.

`problems` looks at any tree; the last class shows it this one, the others show it small trees with one mistake each.
"""

import fnmatch
import pathlib
import re
import subprocess
import sys
import tempfile

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

# A file includes only from its own room or from a lower floor.
FLOORS = {
    "base": 0,
    "reference": 1, "findings": 1,
    "netlist": 2,
    "circuit": 3,
    "solve": 4,
    "rules": 5, "paper": 5, "sizing": 5,
    "draw": 6, "report": 6,
    "sheets": 7, "begin": 7,
    "viewer": 8,
    "app": 9,
    "main.cpp": 10,
}

# Library, its headers, where they may be included, and in how many files of each such place (None: as many as it takes).
HEAVY = [
    ("Boost", r"boost/", ["circuit/graph.cpp", "circuit/graph_net.hpp"], 1),
    ("Eigen", r"(unsupported/)?Eigen/", ["solve/"], 3),
    ("JSON", r"nlohmann/", ["report/"], None),
    ("CLI11", r"CLI/", ["app/"], None),
    # One file writes SVG; reading it again, for a drawing that keeps its places, is another trade.
    ("pugixml", r"pugi(xml|config)\.hpp", ["draw/svg.cpp", "draw/kept.cpp", "sheets/"], 1),
    ("Graphviz", r"(graphviz/)?(gvc|cgraph|gvplugin\w*|types)\.h$", ["draw/"], 1),
    ("LEMON", r"lemon/", ["draw/"], 1),
    ("doctest", r"doctest", [], None),
]

VISIBLE = {"README.md", "DEVELOPERS.md", "CMakeLists.txt", "src", "netlists", "tests", "out"}
HIDDEN = {".ci", ".gitignore", ".clang-format", ".clang-tidy"}

LONGEST = 600
RULE_LIST, ALL_RULES = "src/rules/rule_list.hpp", "rules/all.hpp"
KIND_LIST, KIND_SYMBOLS = "src/circuit/kind_list.hpp", "src/draw/part_symbols.cpp"
INCLUDE = re.compile(r'^\s*#\s*include\s*[<"]([^>"]+)[>"]', re.MULTILINE)
MACHINE_PATH = re.compile(r"(?<![\w.~*-])/(?:home|root|Users|work|farm|mnt|media)/[\w.]|\b[A-Z]:\\Users\\|/tmp/\w+_jobs")


def read(path):
    """The text of a file; None where it is not text."""
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None


def room_of(source):
    """base for base/number.hpp, main.cpp for main.cpp."""
    return source.split("/")[0]


def upward_arrows(includes):
    for source, included in sorted(includes.items()):
        for target in included:
            above = FLOORS.get(room_of(target), 99) >= FLOORS.get(room_of(source), -1)
            if room_of(target) != room_of(source) and above:
                yield f"src/{source} includes {target}, which is not on a lower floor"


def circles(includes):
    """Each file that comes back to itself, once per circle, with the way round."""
    done = set()

    def walk(source, way):
        if source in way:
            yield way[way.index(source):] + [source]
            return
        if source in done:
            return
        for target in includes.get(source, []):
            yield from walk(target, way + [source])
        done.add(source)

    for source in sorted(includes):
        for circle in walk(source, []):
            yield "includes run in a circle: " + " -> ".join(circle)


def heavy_headers(outside):
    for name, pattern, places, most in HEAVY:
        users = sorted(s for s, included in outside.items() if any(re.match(pattern, i) for i in included))
        for source in users:
            if not any(source.startswith(place) for place in places):
                yield f"src/{source} includes {name}, which belongs to {' and '.join(places) or 'the tests'}"
        for place in places:
            there = [source for source in users if source.startswith(place)]
            if most is not None and len(there) > most:
                yield f"{name} is included by {len(there)} files of {place} ({', '.join(there)}); at most {most} may"


def is_listed(tree, path):
    """Whether a CMakeLists.txt in the folder of a file, or in one above, names it as seen from there, itself or by a pattern (kinds/*.cpp)."""
    for folder in path.parents:
        lists = tree / folder / "CMakeLists.txt"
        if lists.is_file() and any(fnmatch.fnmatchcase(str(path.relative_to(folder)), word)
                                   for word in re.split(r"[\s()]+", read(lists))):
            return True
    return False


def lists_of_kinds(tree, sources):
    """A new kind of part costs its own file, a line in KIND_LIST and its symbol: nowhere else may more than half of all kinds be named."""
    if KIND_LIST not in sources:
        return
    kinds = set(re.findall(r"ROW\((\w+)\)", read(tree / KIND_LIST)))
    for source in sources:
        named = kinds & set(re.findall(r"\bKind::(\w+)", read(tree / source) or ""))
        if source != KIND_SYMBOLS and len(named) > len(kinds) / 2:
            yield f"{source} names {len(named)} of {len(kinds)} kinds of part: what is said of each belongs in its row (KindSpec)"


def rules_outside_the_list(tree, sources):
    """A rule declares itself, so that a line in the list does not build all of them again; one that the list does not name would never run."""
    if RULE_LIST not in sources:
        return
    listed = set(re.findall(r"\brule\((\w+)\)", read(tree / RULE_LIST)))
    for source in sources:
        text = read(tree / source) or ""
        for name in re.findall(r"^const Rule (\w+)", text, re.MULTILINE):
            if name not in listed:
                yield f"{source} defines the rule {name}, which {RULE_LIST} does not list: it would never run"
        if source != "src/rules/table.cpp" and source.startswith("src/") and ALL_RULES in INCLUDE.findall(text):
            yield f"{source} includes all rules, and would be built again for each new one: declare the one it means (extern const Rule ...;)"


def figures_of_a_passing_point(tree, sources):
    """A reference to a figure inside a returned solution is left dangling once the line ends: three were, and only the sanitizers saw it."""
    for source in sources:
        for number, line in enumerate((read(tree / source) or "").splitlines(), 1):
            if re.search(r"\bpoint\([^()]*\)\.\w", line):
                yield f"{source}:{number}: asks one figure of a point that passes: use volts_over or amps_through, or keep the point"


def problems(tree, tracked):
    """Every breach of the house rules among the tracked files of a tree, as sentences."""
    found = []
    sources = [p for p in tracked if p.startswith("src/") and p.endswith((".hpp", ".cpp"))]
    inside, outside = {}, {}
    for path in sources:
        source = path.removeprefix("src/")
        if room_of(source) not in FLOORS:
            found.append(f"{path} is in no room of the house")
        text = read(tree / path) or ""
        named = INCLUDE.findall(text)
        inside[source] = [i for i in named if f"src/{i}" in tracked]
        outside[source] = [i for i in named if f"src/{i}" not in tracked]
        quoted = re.findall(r'^\s*#\s*include\s*"([^"]+)"', text, re.MULTILINE)
        found += [f"{path} includes \"{i}\", which is no file of src/" for i in quoted if f"src/{i}" not in tracked]
    found += upward_arrows(inside)
    found += circles(inside)
    found += heavy_headers(outside)
    found += lists_of_kinds(tree, sources)
    found += rules_outside_the_list(tree, sources)
    found += figures_of_a_passing_point(tree, sources)

    for path in tracked:
        if path.startswith(("src/", "tests/")) and path.endswith((".hpp", ".cpp", ".py")):
            lines = (read(tree / path) or "").count("\n")
            if lines > LONGEST:
                found.append(f"{path} has {lines} lines; {LONGEST} is the most that fits one idea")
        if path.endswith(".cpp") and path != "src/main.cpp" and path.startswith(("src/", "tests/")):
            if not is_listed(tree, pathlib.PurePath(path)):
                found.append(f"{path} is not built: no CMakeLists.txt at its side or above lists it")

    for path in tracked:
        text = read(tree / path)
        for number, line in enumerate([path] if text is None else [path, *text.splitlines()]):
            if MACHINE_PATH.search(line):
                found.append(f"{path}:{number}: names a path of one machine")

    for entry in sorted({p.split("/")[0] for p in tracked} - VISIBLE - HIDDEN):
        found.append(f"{entry} does not belong at the top of the tree")
    found += [f"{p} is made by a build and must not be tracked" for p in tracked if re.match(r"out/(build|tmp)/", p)]
    return found


def tracked_files(tree):
    """What git tracks, plus what it would add: a mistake shows before it is committed. Deleted files do not count."""
    listed = subprocess.run(["git", "-c", "safe.directory=*", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
                            cwd=tree, check=True, capture_output=True, text=True).stdout
    return sorted(p for p in set(listed.split("\0")) - {""} if (tree / p).is_file())


class FakeTree(suite.TestCase):
    """Each mistake in a tree that is otherwise in order."""

    ORDERLY = {
        "README.md": "# A tree\n",
        "CMakeLists.txt": "",
        "src/main.cpp": '#include "app/run.hpp"\n',
        "src/base/CMakeLists.txt": "loomproof_room(base FILES number.cpp)\n",
        "src/base/number.hpp": "#include <string>\n",
        "src/base/number.cpp": '#include "base/number.hpp"\n#include <fmt/core.h>\n',
        "src/circuit/CMakeLists.txt": "loomproof_room(circuit FILES graph.cpp kinds/lamp.cpp)\n",
        "src/circuit/graph.hpp": '#include "base/number.hpp"\n',
        "src/circuit/graph.cpp": '#include "circuit/graph.hpp"\n#include <boost/graph/adjacency_list.hpp>\n',
        "src/circuit/kinds/lamp.cpp": '#include "circuit/graph.hpp"\n',
        "src/draw/CMakeLists.txt": "loomproof_room(draw FILES svg.cpp)\n",
        "src/draw/svg.cpp": '#include "circuit/graph.hpp"\n#include <pugixml.hpp>\n',
        "src/app/CMakeLists.txt": "",
        "src/app/run.hpp": '#include "circuit/graph.hpp"\n#include <CLI/CLI.hpp>\n',
        "tests/base/CMakeLists.txt": "loomproof_suite(base FILES number_test.cpp)\n",
        "tests/base/number_test.cpp": '#include "base/number.hpp"\n#include <doctest/doctest.h>\n',
        "out/demo.svg": "<svg/>\n",
    }

    def problems_with(self, changes):
        files = {**self.ORDERLY, **changes}
        with tempfile.TemporaryDirectory() as folder:
            tree = pathlib.Path(folder)
            for path, text in files.items():
                (tree / path).parent.mkdir(parents=True, exist_ok=True)
                (tree / path).write_text(text)
            return problems(tree, sorted(files))

    def expect(self, changes, *sentences):
        found = self.problems_with(changes)
        self.assertEqual(len(found), len(sentences), found)
        for sentence, problem in zip(sentences, found):
            self.assertIn(sentence, problem)

    def test_an_orderly_tree_has_no_problem(self):
        self.expect({})

    def test_an_arrow_to_a_higher_floor(self):
        self.expect({"src/base/number.cpp": '#include "circuit/graph.hpp"\n'},
                    "src/base/number.cpp includes circuit/graph.hpp, which is not on a lower floor")

    def test_an_arrow_to_a_higher_floor_in_angle_brackets_or_with_spaces(self):
        self.expect({"src/base/number.cpp": " #  include <circuit/graph.hpp>\n"}, "not on a lower floor")

    def test_an_arrow_to_another_room_of_the_same_floor(self):
        self.expect({"src/report/text.hpp": "", "src/draw/svg.cpp": '#include "report/text.hpp"\n'},
                    "src/draw/svg.cpp includes report/text.hpp")

    def test_nobody_includes_main(self):
        self.expect({"src/app/run.hpp": '#include "main.cpp"\n'}, "includes main.cpp", "in a circle")

    def test_a_circle_inside_one_room(self):
        self.expect({"src/base/number.hpp": '#include "base/text.hpp"\n', "src/base/text.hpp": '#include "base/number.hpp"\n'},
                    "in a circle: base/number.hpp -> base/text.hpp -> base/number.hpp")

    def test_a_file_that_includes_itself(self):
        self.expect({"src/base/number.hpp": '#include "base/number.hpp"\n'}, "base/number.hpp -> base/number.hpp")

    def test_heavy_headers_outside_their_place(self):
        for header, name in [("boost/graph/depth_first_search.hpp", "Boost"), ("Eigen/Dense", "Eigen"),
                             ("nlohmann/json.hpp", "JSON"), ("CLI/CLI.hpp", "CLI11"), ("pugixml.hpp", "pugixml"),
                             ("graphviz/gvc.h", "Graphviz"), ("cgraph.h", "Graphviz"), ("lemon/network_simplex.h", "LEMON"), ("doctest/doctest.h", "doctest")]:
            with self.subTest(header):
                self.expect({"src/circuit/kinds/lamp.cpp": f"#include <{header}>\n"},
                            f"src/circuit/kinds/lamp.cpp includes {name}, which belongs to")

    def test_a_library_kept_to_one_file_in_two(self):
        self.expect({"src/draw/page.hpp": "#include <cgraph.h>\n", "src/draw/svg.cpp": "#include <cgraph.h>\n"},
                    "Graphviz is included by 2 files of draw/")

    def test_pugixml_in_a_third_file(self):
        self.expect({"src/draw/page.hpp": "#include <pugixml.hpp>\n"}, "src/draw/page.hpp includes pugixml, which belongs to")

    def test_pugixml_may_also_write_sheets(self):
        self.expect({"src/sheets/page.hpp": "#include <pugixml.hpp>\n"})

    def test_an_include_of_nothing(self):
        self.expect({"src/base/number.cpp": '#include "number.hpp"\n'}, 'includes "number.hpp", which is no file of src/')

    def test_product_code_that_includes_test_code(self):
        self.expect({"src/base/number.cpp": '#include "support/places.hpp"\n', "tests/support/places.hpp": ""},
                    "no file of src/")

    def test_a_room_that_is_not_in_the_house(self):
        self.expect({"src/utils/misc.hpp": ""}, "src/utils/misc.hpp is in no room")

    def test_a_file_that_is_too_long(self):
        self.expect({"src/base/long.hpp": "//\n" * 601}, "src/base/long.hpp has 601 lines")
        self.expect({"src/base/long.hpp": "//\n" * 600})

    def test_a_file_that_nobody_builds(self):
        self.expect({"src/base/extra.cpp": ""}, "src/base/extra.cpp is not built")
        self.expect({"tests/base/extra_test.cpp": ""}, "tests/base/extra_test.cpp is not built")
        self.expect({"src/circuit/kinds/horn.cpp": ""}, "src/circuit/kinds/horn.cpp is not built")
        self.expect({"src/circuit/kinds/number.cpp": ""}, "src/circuit/kinds/number.cpp is not built")

    def test_a_folder_inside_a_room_may_list_its_own_files(self):
        self.expect({"src/circuit/kinds/horn.cpp": "", "src/circuit/kinds/CMakeLists.txt": "target_sources(x horn.cpp)"})

    def test_a_folder_may_be_listed_by_a_pattern(self):
        self.expect({"src/circuit/kinds/horn.cpp": "", "src/circuit/CMakeLists.txt": "file(GLOB kinds kinds/*.cpp) x(graph.cpp)"})

    def test_a_second_list_of_all_kinds(self):
        kinds = {"src/circuit/kind_list.hpp": "ROW(lamp) ROW(horn) ROW(fuse)\n", "src/draw/part_symbols.cpp": "Kind::lamp Kind::horn Kind::fuse\n",
                 "src/draw/CMakeLists.txt": "loomproof_room(draw FILES svg.cpp part_symbols.cpp)\n"}
        self.expect(kinds)
        self.expect({**kinds, "src/circuit/graph.cpp": "Kind::lamp Kind::horn\n"}, "src/circuit/graph.cpp names 2 of 3 kinds")
        self.expect({**kinds, "src/circuit/graph.cpp": "Kind::lamp Kind::lamp\n"})

    def test_a_rule_that_the_list_forgot(self):
        rules = {"src/rules/rule_list.hpp": "    rule(hot) \\\n", "src/rules/all.hpp": "",
                 "src/rules/CMakeLists.txt": "file(GLOB catalogue catalogue/*.cpp)",
                 "src/rules/catalogue/hot.cpp": "extern const Rule hot;\nconst Rule hot = {\n"}
        self.expect(rules)
        self.expect({**rules, "src/rules/catalogue/cold.cpp": "const Rule cold = {\n"}, "defines the rule cold, which")
        self.expect({**rules, "src/rules/catalogue/hot.cpp": '#include "rules/all.hpp"\n'}, "includes all rules")

    def test_a_figure_of_a_point_that_passes(self):
        self.expect({"src/circuit/graph.cpp": "const auto& amps = b.point(at).wire_amps[wire.index];\n"}, "graph.cpp:1: asks one figure")
        self.expect({"src/circuit/graph.cpp": "const Point point = b.point(at);\ntake(b.point(at), load);\n"})

    def test_a_path_of_one_machine(self):
        for path in ["/" + "work/x", "/" + "home/somebody/loom", "C:" + "\\Users\\x"]:
            with self.subTest(path):
                self.expect({"README.md": f"# A tree\n\nsee {path}\n"}, "README.md:3: names a path of one machine")

    def test_paths_that_are_no_machine_paths(self):
        self.expect({"README.md": "the shop/" + "work/car in /usr/include, /tmp/x, ~/" + "work/x and ./home/x\n"})

    def test_an_entry_that_does_not_belong_at_the_top(self):
        self.expect({"LICENSE.txt": "", ".editorconfig": ""},
                    ".editorconfig does not belong at the top", "LICENSE.txt does not belong at the top")

    def test_a_tracked_file_of_a_build(self):
        self.expect({"out/build/release/build.ninja": ""}, "must not be tracked")


class ThisTree(suite.TestCase):
    def test_every_file_is_looked_at(self):
        tracked = tracked_files(suite.TREE)
        self.assertIn("src/base/number.hpp", tracked)
        self.assertIn("tests/house/floors.py", tracked)

    def test_it_keeps_the_house_rules(self):
        found = problems(suite.TREE, tracked_files(suite.TREE))
        self.assertEqual(found, [], "\n" + "\n".join(found))


if __name__ == "__main__":
    suite.main()
