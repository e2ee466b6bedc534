"""Reads the include table and the library table from DEVELOPERS.md."""
import re
import tree

EVERYTHING = "everything"


class Row:
    """What the files of one folder may include and link."""

    def __init__(self, folder, includes, links):
        self.folder, self.includes, self.links = folder, includes, links

    def may_include(self, path):
        return EVERYTHING in self.includes or any(
            is_under(path, folder) for folder in [self.folder, *self.includes])

    def may_link(self, library):
        return EVERYTHING in self.links or library in self.links


def is_under(path, folder):
    return path == folder or path.startswith(folder + "/")


def cells_after(text, heading):
    """The rows, as lists of cells, of the table that begins with the given header cells."""
    lines = text.splitlines()
    starts = [i for i, line in enumerate(lines) if cells(line)[: len(heading)] == heading]
    if not starts:
        return []
    rows = []
    for line in lines[starts[0] + 2:]:  # past the header and its rule
        if not line.startswith("|"):
            break
        rows.append(cells(line))
    return rows


def cells(line):
    return [cell.strip() for cell in line.strip().strip("|").split("|")]


def words(cell):
    return [w.strip(" `") for w in cell.split(",") if w.strip(" `–")]


class Table:
    def __init__(self, root):
        text = tree.text_of(root, "DEVELOPERS.md")
        self.rows = [Row(folder, words(includes), words(links))
                     for folders, includes, links in cells_after(text, ["folder", "may include", "may link"])
                     for folder in words(folders)]
        self.headers = {}  # prefix of a header's name: its library
        self.targets = {}  # CMake target: its library
        for library, headers, targets in cells_after(text, ["library", "headers", "CMake targets"]):
            self.headers.update({prefix: library for prefix in words(headers)})
            self.targets.update({target: library for target in words(targets)})

    def row_of(self, path):
        """The row of the longest folder that holds the path."""
        found = [row for row in self.rows if is_under(str(path), row.folder)]
        return max(found, key=lambda row: len(row.folder)) if found else None

    def library_of(self, header):
        """The library whose header it is; "" for the C++ library, None for one unknown."""
        found = [prefix for prefix in self.headers if header.startswith(prefix)]
        if found:
            return self.headers[max(found, key=len)]
        return "" if re.fullmatch(r"[a-z_0-9]+", header) else None
