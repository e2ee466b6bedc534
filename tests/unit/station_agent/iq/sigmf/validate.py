#!/usr/bin/python3
"""validate.py FOLDER SCHEMA...: whether every metadata file of the folder obeys each schema. Prints
what does not; fails also where there is no file."""
import json
import sys
from pathlib import Path

import jsonschema


def read(path):
    return json.loads(Path(path).read_text(encoding="utf-8"))


broken = 0
files = sorted(Path(sys.argv[1]).glob("*.sigmf-meta"))
for schema in sys.argv[2:]:
    validator = jsonschema.Draft202012Validator(read(schema))
    for file in files:
        for error in validator.iter_errors(read(file)):
            print(f"{file}: {'/'.join(map(str, error.path))}: {error.message}")
            broken += 1
sys.exit(1 if broken or not files else 0)
