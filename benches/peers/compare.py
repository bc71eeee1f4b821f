"""Times this program against general-purpose document tools on the same strip and the same settings table.

Run by hand on a quiet machine, from anywhere: benches/peers/compare.sh
Whole processes in turn, so that a slow minute hits all of them; medians. Every tool makes the same A4 page: the card with its
outline, two check bars and the words beside them, every mark and every word of content.json, as other readers see
them. The peers are told what stands in each cell; this program works it out from the book, and for the table it writes an
SVG, a manifest and a proof page besides and flushes them to the disk. Peers use a TrueType face, since not all of them take B612.
"""

import argparse
import importlib.metadata
import json
import platform
import re
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parent.parent
OURS = "cockpit-cards"
PEERS = ["reportlab", "fpdf2", "typst"]
CONTENT = json.loads((HERE / "content.json").read_text(encoding="utf-8"))


def output_of(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def commands(ours, folder):
    """For each card: maker, command, and the PDF that it writes."""
    strip = CONTENT["strip"]
    marks = ["--marks", f"{strip['first']}..{strip['last']}", "--halves", "--spacing", f"{strip['spacing_mm']}mm"]
    made = folder / "ours-strip.pdf"
    look = ["--width", f"{strip['width_mm']}mm", "--title", strip["title"]]
    yield "strip", OURS, [ours, "strip", *marks, *look, "-o", made], made
    made = folder / "ours"
    yield "table", OURS, [ours, "build", HERE / "table.yaml", "--out", made], made / "cards.pdf"
    for kind in ("strip", "table"):
        for peer in PEERS:
            made = folder / f"{peer}-{kind}.pdf"
            script = [sys.executable, HERE / f"with_{peer}.py", kind, HERE / "content.json", ROOT / "fonts", made]
            yield kind, peer, script, made


def words(text):
    """The words of a text; a sign of where a value comes from is a word of its own."""
    return Counter(text.replace("●", " ● ").split())


def wanted(kind):
    """Every word of the page."""
    about, card = CONTENT["page"], CONTENT[kind]
    texts = [about["bar"], about["bar"], about["size"], about["note"]]
    texts += [text for text in card.values() if isinstance(text, str)]
    if kind == "strip":
        texts += [str(mark) for mark in range(card["first"], card["last"] + 1)]
    else:
        texts += card["head"] + [text for row in card["rows"] for cell in row for text in cell]
    return words(" ".join(texts))


def check(kind, maker, pdf):
    """The PDF is one A4 page with every word of the page and no other, and every line of it."""
    about = output_of("pdfinfo", pdf)
    assert re.search(r"^Pages:\s+1$", about, re.M) and "A4" in about, f"{maker}, {kind}: {about}"
    found = words(output_of("pdftotext", "-raw", pdf, "-"))
    assert found == wanted(kind), f"{maker}, {kind}: missing {wanted(kind) - found}, too many {found - wanted(kind)}"
    # Both check bars with their ends, eight crop marks, and the marks or the rules under the rows.
    card = CONTENT[kind]
    marks = 2 * (card["last"] - card["first"]) + 1 if kind == "strip" else len(card["rows"])
    lines = len(re.findall(r"<moveto", output_of("mutool", "trace", pdf)))
    assert lines >= 6 + 8 + marks, f"{maker}, {kind}: only {lines} lines"


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--ours", type=Path, default=ROOT / "target/release/cockpit-cards")
    parser.add_argument("--rounds", type=int, default=31)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        runs = list(commands(options.ours.resolve(), Path(folder)))
        times = {(kind, maker): [] for kind, maker, _, _ in runs}
        for kind, maker, command, pdf in runs:
            subprocess.run(command, check=True, capture_output=True)
            check(kind, maker, pdf)
        for _ in range(options.rounds):
            for kind, maker, command, _ in runs:
                start = time.perf_counter()
                subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                times[kind, maker].append(time.perf_counter() - start)
        version = {peer: importlib.metadata.version(peer) for peer in PEERS}
        version[OURS] = output_of(options.ours, "--version").split()[-1]
        print(f"Python {platform.python_version()}, {platform.system()} {platform.release().split('.')[0]},", end=" ")
        print(f"{options.rounds} rounds, medians.\n")
        print("| card | made by | whole process | times ours | PDF |\n|---|---|---|---|---|")
        for kind, maker, _, pdf in sorted(runs, key=lambda run: run[0]):
            median = statistics.median(times[kind, maker])
            ratio = median / statistics.median(times[kind, OURS])
            size = pdf.stat().st_size / 1000
            print(f"| {kind} | {maker} {version[maker]} | {median * 1000:.1f} ms | {ratio:.1f} | {size:.1f} kB |")


main()
