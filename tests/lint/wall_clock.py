#!/usr/bin/env python3
"""Determinism: the stages between ingest and alert never ask what time it is, draw no random
number of their own, and start no thread. The same bearings give the same emitters."""
import re
import tree

PURE = ("base", "model", "geodesy", "ingest", "align", "locate", "track", "calibrate", "register",
        "alert")
FORBIDDEN = re.compile(
    r"\b(?:system_clock|steady_clock|high_resolution_clock)::now\b|\bgettimeofday\s*\(|"
    r"\bclock_gettime\s*\(|\btime\s*\(\s*(?:nullptr|NULL|0)\s*\)|\brandom_device\b|"
    r"\bstd::rand\b|\bstd::j?thread\b|\bstd::async\b")
# The one door: base/clock.hpp is where a Clock comes from.
ALLOWED = {("server/base/clock.hpp", "system_clock::now")}


def main():
    root = tree.root_argument()
    problems = []
    paths = [p for p in tree.files(root, *tree.CPP) if p.parts[0] == "server" and p.parts[1] in PURE]
    for path in paths:
        code = tree.blanked(tree.text_of(root, path))
        for match in FORBIDDEN.finditer(code):
            if (str(path), match.group()) in ALLOWED:
                continue
            line = code.count("\n", 0, match.start()) + 1
            problems.append(f"{path}:{line}: {match.group()}: take a Clock or event time, and a "
                            "seed from the caller")
    tree.report(problems, len(paths), "files of pure stages")


main()
