# SPDX-License-Identifier: Apache-2.0
"""A pipeline's step: opens a document, checks it against its model and ends with the check's exit status.

    python3 check_on_export.py DOCUMENT.FCStd [MODEL.corefeed] [--export OUT.step] [--strict]

Runs in the distribution's Python with FreeCAD's folder on PYTHONPATH, not in FreeCAD's console program, which ends with
0 whatever happened. Exit status as `corefeed check`: 0 met, 1 not met, 2 the command line, 3 an input, 4 no solution, 5
geometry, 6 output. Nothing is exported unless the check is met.
"""
import argparse
import os
import sys


def main():
    parser = argparse.ArgumentParser(description="Checks a CAD document against its cooling model.")
    parser.add_argument("document")
    parser.add_argument("model", nargs="?", help="by default the one that the document remembers")
    parser.add_argument("--export", metavar="OUT.step", help="write a STEP file where the check is met")
    parser.add_argument("--strict", action="store_true")
    options = parser.parse_args()
    try:
        import FreeCAD
    except ImportError:
        print("FreeCAD's Python module is not on PYTHONPATH: add the folder that holds FreeCAD.so", file=sys.stderr)
        return 2
    sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "Corefeed"))
    import corefeed_host
    try:
        document = FreeCAD.openDocument(options.document)
    except OSError as error:
        print(f"{options.document}: {error}", file=sys.stderr)
        return 3
    try:
        result = corefeed_host.check(document, options.model, strict=options.strict)
    except corefeed_host.HostError as error:
        print(error, file=sys.stderr)
        cause = error.__context__
        return getattr(cause, "status", 2)
    print(result.text)
    if result.status == 0 and options.export:
        import Import
        Import.export([obj for obj in document.Objects if corefeed_host.has_shape(obj)], options.export)
    return result.status


if __name__ == "__main__":
    status = main()
    sys.stdout.flush()
    # FreeCAD's own clean-up must not change the status.
    os._exit(status)
