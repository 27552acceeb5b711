# SPDX-License-Identifier: Apache-2.0
"""Fails when a file includes what its room may not: a room further on, another's private header, or a
third-party header outside its place.

    python3 layering.py TREE
"""

import re
import sys
from pathlib import Path

from sources import CAD_ROOMS, LIB_ROOMS, Include, finish, includes, room_of_file, room_of_header

# Headers of the library that are not for its users, most of them because they bring Eigen. Only the library's
# sources, its private headers and the tests may include them.
PRIVATE = {
    "losses": {"scalar", "bore", "law", "friction", "area_change", "area_change_kind", "diffuser", "core", "mitre", "plate",
               "end_keys", "close_coupled", "entrance", "liquid_core", "pump", "core_drop", "fins", "transition", "pack"},
    "network": {"system", "assembly", "solver", "workspace", "newton", "norms", "elimination", "elimination_program",
                 "reduced_elimination", "adjoint", "globalization", "operating_points", "batch", "multigrid", "packed",
                 "residuals", "homotopy", "loss_free"},
    "cooling": {"certificate", "core_heat", "coupling", "effectiveness", "quantities", "liquid_quantities",
                 "liquid_side", "conductance_fit", "fins", "header", "passes", "tube_side", "packed_kernels", "residuals"},
    "studies": {"compare_point", "lap_network", "rules", "runaway", "spreads", "sweep_parts", "troubled_case", "words"},
    "model": {"reader", "document_syntax", "number_text", "issue_list", "table_columns", "zones"},
    "units": {"unit_grammar", "quantity_kinds", "spelling_help", "number_text"},
}

# Where the headers of others may stand: (pattern of the header, name, pattern of the file). Each costs one to
# three seconds per inclusion, hence never in a public header. Tests may use them all but OpenCASCADE.
PLACES = [
    (r".*\.hxx$", "OpenCASCADE", r"(cad_bridge/(geometry|draw)|geometry_samples|tests/cad_bridge/geometry)/"),
    (r"boost/graph/", "Boost.Graph", r"lib/corefeed/network/.*\.cpp$|tests/"),
    (r"boost/", "Boost", r"(lib|cad_bridge)/.*\.cpp$|geometry_samples/|tests/"),
    (r"nlohmann/", "nlohmann_json",
     r"lib/corefeed/(model|reports)/.*\.cpp$|cad_bridge/.*\.cpp$|geometry_samples/|tests/"),
    (r"(unsupported/)?Eigen/", "Eigen",
     r"lib/corefeed/losses/scalar\.hpp$|lib/corefeed/(network|cooling)/.*\.cpp$"
     r"|cad_bridge/geometry/"
     r"|cad_bridge/proposal/surface_average\.cpp$|tests/"),
    (r"xsimd/", "xsimd", r"lib/corefeed/losses/pack\.hpp$|lib/corefeed/cooling/packed_kernels\.cpp$|tests/"),
    (r"pybind11/", "pybind11", r"cad_bridge/python/"),
    (r"seccomp\.h$", "libseccomp", r"cad_bridge/geometry/forbidden_calls\.cpp$"),
    (r"CLI/", "CLI11", r"cad_bridge/command/|tests/"),
    (r"pugixml\.hpp$", "pugixml", r"lib/corefeed/reports/.*\.cpp$|tests/"),
    (r"fmt/", "fmt", r".*\.cpp$|tests/"),
    (r"g(test|mock)/", "GoogleTest", r"tests/"),
    (r"valijson/", "valijson", r"tests/fuzz/"),
    (r"rapidcheck(/|\.h$)", "RapidCheck", r"tests/"),
    (r"(benchmark|ceres|kinsol|nvector|sun[a-z]*)/", "what is measured against", r"tests/benchmarks/"),
]

# Standard C++ has neither a dot nor a slash; C and POSIX headers end in .h and stand alone or below sys/, linux/.
STANDARD = re.compile(r"[a-z_0-9]+|((sys|linux)/)?[a-z_0-9]+\.h")


def is_private(header: str) -> bool:
    room = room_of_header(header)
    return room is not None and room[0] == "lib" and Path(header).stem in PRIVATE.get(room[1], set())


def fault_of_library(room: str, target: tuple[str, str]) -> str:
    if target[0] != "lib":
        return "the library includes nothing outside lib/"
    if room == "" or target[1] == "":
        return "" if target[1] == "" else "this file belongs to all rooms and may include none"
    for name in (room, target[1]):
        if name not in LIB_ROOMS:
            return f"\"{name}\" is no room of the library; rooms are {', '.join(LIB_ROOMS)}"
    if LIB_ROOMS.index(target[1]) > LIB_ROOMS.index(room):
        return f"\"{room}\" may include itself and rooms before it in {' <- '.join(LIB_ROOMS)}"
    return ""


def fault_of_bridge(room: str, target: tuple[str, str]) -> str:
    if room not in CAD_ROOMS:
        return f"\"{room}\" is no room of cad_bridge; rooms are {', '.join(CAD_ROOMS)}"
    wanted = "lib" if target[0] == "lib" else target[1]
    if target[0] not in ("lib", "cad_bridge"):
        return "cad_bridge includes nothing but lib/ and itself"
    if wanted == room or wanted in CAD_ROOMS[room]:
        return ""
    return f"\"cad_bridge/{room}\" may include itself and {', '.join(sorted(CAD_ROOMS[room]))}"


def fault_of_room(include: Include, target: tuple[str, str]) -> str:
    top, room = room_of_file(include.file)
    if top == "lib":
        return fault_of_library(room, target)
    if top == "cad_bridge":
        return fault_of_bridge(room, target)
    if top == "geometry_samples" and target[0] != top:
        return "geometry_samples stands alone, so that its truth does not come from what it tests"
    if top == "tests" and target[0] == "cad_bridge" and room not in ("cad_bridge", "fuzz"):
        return "tests of the library include nothing of cad_bridge"
    return ""


def fault_of_privacy(include: Include) -> str:
    if not is_private(include.header):
        return ""
    top = include.file.split("/")[0]
    if top not in ("lib", "tests"):
        return "this header is private to lib/"
    if top == "lib" and include.file.endswith(".hpp") and not is_private(include.file.removeprefix("lib/")):
        return "a public header includes a private one"
    return ""


def fault_of_third_party(include: Include) -> str:
    for header, name, place in PLACES:
        if re.match(header, include.header):
            return "" if re.match(place, include.file) else f"{name} may not stand here; see PLACES in layering.py"
    if STANDARD.fullmatch(include.header):
        return ""
    if "/" not in include.header and include.header.endswith(".hpp"):
        return "headers of ours are included by their whole path"
    return "unknown header; a new library gets its row in layering.py, .ci/packages and docs/licences.md"


def fault_of(include: Include) -> str:
    target = room_of_header(include.header)
    if target is None:
        return fault_of_third_party(include)
    return fault_of_room(include, target) or fault_of_privacy(include)


def main() -> None:
    tree = Path(sys.argv[1])
    faults = []
    for include in includes(tree, ["lib", "cad_bridge", "geometry_samples", "tests"]):
        fault = fault_of(include)
        if fault:
            faults.append(f"{include.file}:{include.line}: includes {include.header}: {fault}")
    finish(faults)


if __name__ == "__main__":
    main()
