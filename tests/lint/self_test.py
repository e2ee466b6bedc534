#!/usr/bin/env python3
"""A lint that cannot fail is worth nothing: runs one on each of its bad trees.

bad/LINT/CASE is a small tree with one fault; expected.txt in it holds lines, each of which the
lint must print a part of. The lint must also end with exit code 1."""
import pathlib
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent


def outcome(lint, tree):
    """What the lint says to a copy of the tree; a copy, since bad/ itself is left out of lints."""
    with tempfile.TemporaryDirectory() as folder:
        copy = pathlib.Path(folder) / "tree"
        shutil.copytree(tree, copy, ignore=shutil.ignore_patterns("expected.txt"))
        done = subprocess.run([HERE / lint, copy], capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def problems_of(lint, tree):
    code, said = outcome(lint, tree)
    if code != 1:
        yield f"{tree.name}: exit code {code}, expected 1; it said:\n{said}"
    for line in (tree / "expected.txt").read_text(encoding="utf-8").splitlines():
        if line not in said:
            yield f"{tree.name}: expected \"{line}\"; it said:\n{said}"


def main():
    lint = sys.argv[1]
    trees = sorted(p for p in (HERE / "bad" / pathlib.Path(lint).stem).iterdir() if p.is_dir())
    problems = [problem for tree in trees for problem in problems_of(lint, tree)]
    for problem in problems:
        print(problem)
    print(f"{lint}: {len(trees)} bad trees, {len(problems)} of them not seen as such")
    sys.exit(1 if problems or not trees else 0)


main()
