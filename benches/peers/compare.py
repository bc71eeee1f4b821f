"""Times this program against general-purpose document tools on the same strip and the same settings table.

Run by hand on a quiet machine, from anywhere: benches/peers/compare.sh
Whole processes in turn, so that a slow minute hits all of them: of each the CPU time (its own and the system's for
it, of all its threads) and the time on the clock, as medians with the middle half of the rounds in brackets. Every
tool makes the same A4 page: the card with its outline, what a page of its kind has around it (two check bars and what
to do with them, or a foot), every mark and every word of content.json, as other readers see them. The peers are told
what stands in each cell; this program works it out from the book, and for the table it writes an SVG, a manifest and
a proof page besides. Peers use a TrueType face, since not all of them take B612, from a folder that holds no other.
"""

import argparse
import importlib.metadata
import json
import os
import platform
import re
import shutil
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
LIBRARIES = ["reportlab", "fpdf2"]
COMPILER = "typst"
PEERS = [*LIBRARIES, COMPILER]
FACES = ["DejaVuSans.ttf", "DejaVuSans-Bold.ttf"]
KINDS = ["strip", "table"]
NOTHING = "nothing"
CONTENT = json.loads((HERE / "content.json").read_text(encoding="utf-8"))


def output_of(*command):
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout


def commands(ours, compiler, folder):
    """For each card: maker, command, and the PDF that it writes; last what starts and ends and makes nothing."""
    strip = CONTENT["strip"]
    marks = ["--marks", f"{strip['first']}..{strip['last']}", "--halves", "--spacing", f"{strip['spacing_mm']}mm"]
    made = folder / "ours-strip.pdf"
    look = ["--width", f"{strip['width_mm']}mm", "--title", strip["title"]]
    yield "strip", OURS, [ours, "strip", *marks, *look, "-o", made], made
    made = folder / "ours"
    yield "table", OURS, [ours, "build", HERE / "table.yaml", "--out", made], made / "cards.pdf"
    faces = folder / "faces"
    faces.mkdir()
    for face in FACES:
        shutil.copy(ROOT / "fonts" / face, faces)
    for kind in KINDS:
        for peer in LIBRARIES:
            made = folder / f"{peer}-{kind}.pdf"
            script = [sys.executable, HERE / f"with_{peer}.py", kind, HERE / "content.json", faces, made]
            yield kind, peer, script, made
        made = folder / f"{COMPILER}-{kind}.pdf"
        told = ["--input", "content=content.json", "--input", f"kind={kind}"]
        only = ["--root", HERE, "--font-path", faces, "--ignore-system-fonts", "--ignore-embedded-fonts"]
        yield kind, COMPILER, [compiler, "compile", *only, *told, HERE / "card.typ", made], made
    yield NOTHING, OURS, [ours, "--version"], None


def words(text):
    """The words of a text; a sign of where a value comes from is a word of its own."""
    return Counter(text.replace("●", " ● ").split())


def wanted(kind):
    """Every word of the page."""
    about, card = CONTENT["page"], CONTENT[kind]
    texts = [text for text in card.values() if isinstance(text, str)]
    if kind == "strip":
        texts += [about["bar"], about["bar"], about["size"], about["note"]]
        texts += [str(mark) for mark in range(card["first"], card["last"] + 1)]
    else:
        texts += card["to_write"] + card["head"] + [text for row in card["rows"] for cell in row for text in cell]
    return words(" ".join(texts))


def check(kind, maker, pdf):
    """The PDF is one A4 page with every word of the page and no other, and every line of it."""
    about = output_of("pdfinfo", pdf)
    assert re.search(r"^Pages:\s+1$", about, re.M) and "A4" in about, f"{maker}, {kind}: {about}"
    found = words(output_of("pdftotext", "-raw", pdf, "-"))
    assert found == wanted(kind), f"{maker}, {kind}: missing {wanted(kind) - found}, too many {found - wanted(kind)}"
    # Eight crop marks; both check bars with their ends and the marks, or the lines to write on and the rules of rows.
    card = CONTENT[kind]
    drawn = 6 + 2 * (card["last"] - card["first"]) + 1 if kind == "strip" else len(card["to_write"] + card["rows"])
    lines = len(re.findall(r"<moveto", output_of("mutool", "trace", pdf)))
    assert lines >= 8 + drawn, f"{maker}, {kind}: only {lines} lines"


def take_away(pdf):
    """Removes what a run made, so that each writes all of it anew: a PDF, or the folder that this program put it into."""
    if pdf and pdf.parent.name == "ours":
        shutil.rmtree(pdf.parent)
    elif pdf:
        pdf.unlink()


def run(command):
    """Runs a process to its end; its CPU time and its time on the clock, in seconds."""
    silent = [(os.POSIX_SPAWN_OPEN, stream, os.devnull, os.O_WRONLY, 0) for stream in (1, 2)]
    words = [os.fspath(word) for word in command]
    start = time.perf_counter()
    child = os.posix_spawn(words[0], words, os.environ, file_actions=silent)
    _, status, used = os.wait4(child, 0)
    on_the_clock = time.perf_counter() - start
    assert status == 0, f"{command}: {status}"
    return used.ru_utime + used.ru_stime, on_the_clock


def told(seconds):
    """The median of some times and their middle half, in milliseconds."""
    first, middle, last = (quarter * 1000 for quarter in statistics.quantiles(seconds, n=4))
    return f"{middle:.2f} ms ({first:.2f} to {last:.2f})"


def beside(kind, times):
    """How this program compares with the fastest of its peers, by CPU time and by the clock."""
    ratios = []
    for measure, name in enumerate(["CPU", "the clock"]):
        of_kind = {maker: runs for (of, maker), runs in times.items() if of == kind}
        middle = {maker: statistics.median(run[measure] for run in runs) for maker, runs in of_kind.items()}
        fastest = min(PEERS, key=middle.get)
        ratios.append(f"by {name} {middle[fastest] / middle[OURS]:.1f} times as fast as {fastest}")
    return f"{kind}: " + ", ".join(ratios)


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--ours", type=Path, default=ROOT / "target/release/cockpit-cards")
    parser.add_argument("--compiler", type=Path, default=ROOT / "target/peers/typst/bin/typst")
    parser.add_argument("--rounds", type=int, default=51)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        runs = list(commands(options.ours.resolve(), options.compiler.resolve(), Path(folder)))
        times = {(kind, maker): [] for kind, maker, _, _ in runs}
        for kind, maker, command, pdf in runs:
            run(command)
            if pdf:
                check(kind, maker, pdf)
        for _ in range(options.rounds):
            for kind, maker, command, pdf in runs:
                # What stands in its place already would not be written again by this program.
                take_away(pdf)
                times[kind, maker].append(run(command))
        version = {peer: importlib.metadata.version(peer) for peer in LIBRARIES}
        version[COMPILER] = output_of(options.compiler, "--version").split()[1]
        version[OURS] = output_of(options.ours, "--version").split()[-1]
        print(f"{os.cpu_count()} cores of {platform.machine()}, {platform.system()}", end=" ")
        print(f"{platform.release().split('.')[0]}, Python {platform.python_version()}, {options.rounds} rounds.\n")
        print("| card | made by | CPU time | on the clock | PDF |\n|---|---|---|---|---|")
        for kind, maker, _, pdf in sorted(runs, key=lambda run: (*KINDS, NOTHING).index(run[0])):
            cpu, clock = (told([run[measure] for run in times[kind, maker]]) for measure in (0, 1))
            size = f"{pdf.stat().st_size / 1000:.1f} kB" if pdf else ""
            print(f"| {kind} | {maker} {version[maker]} | {cpu} | {clock} | {size} |")
        print()
        for kind in KINDS:
            print(beside(kind, times))


main()
