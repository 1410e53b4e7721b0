"""The words of every example where they really stand: each text's box as Chromium lays it out and as librsvg does, held against each other;
and with the boxes that librsvg fills with ink, whether any word lies on another word, on a wire, or beyond the sheet. Nothing here
knows the width table by which the words were placed."""

import ctypes
import ctypes.util
import html
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "support"))
import suite

SVG = "{http://www.w3.org/2000/svg}"


class Rectangle(ctypes.Structure):
    _fields_ = [(name, ctypes.c_double) for name in ("x", "y", "width", "height")]

    def box(self):
        return (self.x, self.y, self.x + self.width, self.y + self.height)


rsvg = ctypes.CDLL(ctypes.util.find_library("rsvg-2") or "librsvg-2.so.2")
rsvg.rsvg_handle_new_from_data.restype = ctypes.c_void_p
rsvg.rsvg_handle_new_from_data.argtypes = [ctypes.c_char_p, ctypes.c_size_t, ctypes.c_void_p]
rsvg.rsvg_handle_get_geometry_for_layer.argtypes = [ctypes.c_void_p, ctypes.c_char_p, ctypes.POINTER(Rectangle), ctypes.POINTER(Rectangle),
                                                    ctypes.POINTER(Rectangle), ctypes.c_void_p]


class Text:
    """One word or phrase of a drawing, with its boxes in units of the drawing: left, top, right, bottom."""

    def __init__(self, element, number):
        self.id = f"text-{number}"
        self.words = "".join(element.itertext())
        self.upright = "transform" in element.attrib
        element.set("id", self.id)
        self.ink = self.by_rsvg = self.by_chromium = None


class Drawing:
    def __init__(self, name, svg, first):
        self.name = name
        root = ElementTree.fromstring(svg)
        self.size = [float(v) for v in root.get("viewBox").split()[2:]]
        # One unit, one pixel: neither renderer has anything to round or to scale.
        root.set("width", f"{self.size[0]}px")
        root.set("height", f"{self.size[1]}px")
        self.texts = [Text(e, first + i) for i, e in enumerate(root.iter(SVG + "text"))]
        self.wires = [path for group in root.iter(SVG + "g") if "wire" in group.get("class", "").split()
                      for e in group.iter(SVG + "path") if "casing" in e.get("class", "").split() for path in runs(e.get("d"))]
        ElementTree.register_namespace("", "http://www.w3.org/2000/svg")
        self.svg = ElementTree.tostring(root, encoding="unicode")

    def measure(self):
        data = self.svg.encode()
        handle = rsvg.rsvg_handle_new_from_data(data, len(data), None)
        page = Rectangle(0, 0, *self.size)
        for text in self.texts:
            ink, box = Rectangle(), Rectangle()
            if not rsvg.rsvg_handle_get_geometry_for_layer(handle, f"#{text.id}".encode(), page, ink, box, None):
                raise RuntimeError(f"librsvg has no box for {text.words!r} in {self.name}")
            text.ink, text.by_rsvg = ink.box(), box.box()


def runs(path):
    """The straight runs of a wire as drawn: corners are rounded off, gaps are left out."""
    found, at = [], (0.0, 0.0)
    for step, numbers in re.findall(r"([MLQ])([^MLQZ]*)", path):
        values = [float(v) for v in re.findall(r"-?[\d.]+", numbers)]
        points = list(zip(values[::2], values[1::2]))
        if step == "L":
            found += [(a, b) for a, b in zip([at] + points, points)]
        at = points[-1]
    return found


def drawings():
    files = sorted((suite.TREE / "netlists").glob("*.loom")) + sorted((suite.TREE / "tests/cases/real").rglob("*.loom"))
    found = []
    with tempfile.TemporaryDirectory() as folder:
        for file in files:
            # On one page, with what the jobs changed, and as it goes to the bench.
            changes = [["--changes"]] if "\njob " in file.read_text() else []
            for options in [[], ["--paper", "A4"], *changes]:
                target = pathlib.Path(folder) / f"{file.parent.name}-{file.stem}{''.join(options)}.svg"
                subprocess.run([suite.PROGRAM, "draw", file, "-o", target, *options], capture_output=True, check=False)
        for drawn in sorted(pathlib.Path(folder).glob("*.svg")):
            found.append(Drawing(drawn.stem, drawn.read_text(), sum(len(d.texts) for d in found)))
    return found


SCRIPT = """
const boxes = {};
for (const t of document.querySelectorAll('svg text')) {
  const upright = t.getAttribute('transform'), b = t.getBBox(), m = upright ? t.transform.baseVal.consolidate().matrix : null;
  const corners = [[b.x, b.y], [b.x + b.width, b.y + b.height]].map(([x, y]) => m ? [m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f] : [x, y]);
  const xs = corners.map(c => c[0]), ys = corners.map(c => c[1]);
  boxes[t.id] = [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
document.body.innerHTML = '';
const out = document.createElement('pre');
out.id = 'boxes';
out.textContent = JSON.stringify(boxes);
document.body.appendChild(out);
"""


def boxes_in_chromium(found):
    """The box of each text by its id. In portions: one page with all drawings takes the browser far longer than their sum."""
    boxes, at_once = {}, 25
    for first in range(0, len(found), at_once):
        boxes.update(boxes_of_page(found[first:first + at_once]))
    return boxes


def boxes_of_page(found):
    with tempfile.TemporaryDirectory() as folder:
        page = pathlib.Path(folder) / "all.html"
        body = "\n".join(f"<div>{d.svg}</div>" for d in found)
        page.write_text(f"<!doctype html><meta charset='utf-8'><body>{body}<script>{SCRIPT}</script></body>")
        flags = "--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync"
        run = subprocess.run(["chromium", *flags.split(), f"--user-data-dir={folder}/profile", "--dump-dom", page.as_uri()], capture_output=True, text=True,
                             timeout=300, check=False)
    said = re.search(r'<pre id="boxes">(.*?)</pre>', run.stdout, re.S)
    if not said:
        raise RuntimeError("Chromium said nothing: " + run.stderr[-500:])
    return json.loads(html.unescape(said.group(1)))


def overlap(a, b, by):
    return min(a[2], b[2]) - max(a[0], b[0]) > by and min(a[3], b[3]) - max(a[1], b[1]) > by


class Words(suite.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.drawings = drawings()
        for drawing in cls.drawings:
            drawing.measure()
        boxes = boxes_in_chromium(cls.drawings)
        for drawing in cls.drawings:
            for text in drawing.texts:
                text.by_chromium = boxes[text.id]

    def wrong(self, lines):
        self.assertEqual(lines, [], "\n".join(lines[:40]))

    def test_enough_is_measured(self):
        self.assertGreater(len(self.drawings), 30)
        self.assertGreater(sum(len(d.texts) for d in self.drawings), 3000)

    def test_both_give_a_word_the_same_box(self):
        """Within 1 px and 3 % of its length, along the line. Across it Chromium's box is the whole line's, librsvg's the letters': the one
        holds the other."""
        lines = []
        for drawing in self.drawings:
            for text in drawing.texts:
                a, b = text.by_chromium, text.by_rsvg
                (begin, end), (top, bottom) = ((1, 3), (0, 2)) if text.upright else ((0, 2), (1, 3))
                length = a[end] - a[begin]
                off = max(abs(a[begin] - b[begin]), abs(a[end] - b[end]))
                if off > 1 + 0.03 * length or b[top] < a[top] - 1 or b[bottom] > a[bottom] + 1:
                    lines.append(f"{drawing.name}: {text.words!r}: {a} in Chromium, {b} in librsvg")
        self.wrong(lines)

    def test_no_word_on_another(self):
        lines = []
        for drawing in self.drawings:
            texts = sorted(drawing.texts, key=lambda t: t.ink[0])
            for i, a in enumerate(texts):
                for b in texts[i + 1:]:
                    if b.ink[0] > a.ink[2]:
                        break
                    if overlap(a.ink, b.ink, 0.2):
                        lines.append(f"{drawing.name}: {a.words!r} on {b.words!r}")
        self.wrong(lines)

    def test_no_word_on_a_wire(self):
        thinnest = 2.8  # half of a wire's width, with its edge
        lines = []
        for drawing in self.drawings:
            for (x1, y1), (x2, y2) in drawing.wires:
                wire = (min(x1, x2) - (thinnest if x1 == x2 else 0), min(y1, y2) - (thinnest if y1 == y2 else 0),
                        max(x1, x2) + (thinnest if x1 == x2 else 0), max(y1, y2) + (thinnest if y1 == y2 else 0))
                lines += [f"{drawing.name}: {t.words!r} on the wire at {x1:.0f},{y1:.0f}" for t in drawing.texts if overlap(t.ink, wire, 0.2)]
        self.wrong(lines)

    def test_no_word_beyond_the_sheet(self):
        lines = []
        for drawing in self.drawings:
            width, height = drawing.size
            lines += [f"{drawing.name}: {t.words!r}" for t in drawing.texts
                      if t.ink[0] < 0 or t.ink[1] < 0 or t.ink[2] > width or t.ink[3] > height]
        self.wrong(lines)


if __name__ == "__main__":
    suite.main()
