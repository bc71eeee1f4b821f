"""Copies the licence of every crate that is linked into the program, from where cargo keeps its source.

Usage: licences.py METADATA FOLDER, with what `cargo metadata --filter-platform` printed. A crate that names a licence and brings no
text of it is listed with the name; one that names none is an error.
"""
import json
import pathlib
import shutil
import sys

TEXTS = ("LICENSE", "LICENCE", "COPYING", "NOTICE", "UNLICENSE", "COPYRIGHT")


def linked(metadata):
    """The crates that the program is made of: what it needs to be built or tested is not passed on with it."""
    nodes = {node["id"]: node for node in metadata["resolve"]["nodes"]}
    root = metadata["resolve"]["root"]
    met, waiting = {root}, [root]
    while waiting:
        for dependency in nodes[waiting.pop()]["deps"]:
            ordinary = any(kind["kind"] is None for kind in dependency["dep_kinds"])
            if ordinary and dependency["pkg"] not in met:
                met.add(dependency["pkg"])
                waiting.append(dependency["pkg"])
    met.remove(root)
    return sorted((package for package in metadata["packages"] if package["id"] in met), key=lambda package: (package["name"], package["version"]))


def main():
    metadata = json.loads(pathlib.Path(sys.argv[1]).read_text(encoding="utf-8"))
    folder = pathlib.Path(sys.argv[2])
    lines = []
    for package in linked(metadata):
        source = pathlib.Path(package["manifest_path"]).parent
        texts = sorted(path for path in source.iterdir() if path.is_file() and path.name.upper().startswith(TEXTS))
        name = f"{package['name']}-{package['version']}"
        if not package["license"] and not texts:
            sys.exit(f"{name} names no licence")
        for text in texts:
            shutil.copyfile(text, folder / f"{name}-{text.name}")
        lines.append(f"{name}: {package['license']}" + ("" if texts else " (its authors pack no text with it)"))
    (folder / "crates.txt").write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")
    print(f"licences of {len(lines)} crates")


main()
