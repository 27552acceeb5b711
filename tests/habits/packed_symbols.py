# SPDX-License-Identifier: Apache-2.0
"""Fails when what is compiled for one instruction set could be linked into what runs on machines without it: every
function or number that an object of several operating points shares with others by name has to be named after its
instruction set.

    python3 packed_symbols.py LIBRARY
"""

import re
import subprocess
import sys

# Symbols that the linker takes from any one of several objects.
SHARED = re.compile(r"^[0-9a-f]*\s+[WVuiT]\s+(.*)$")
# What holds no instructions and is the same in every object.
DATA = re.compile(r"^(DW\.ref\.|typeinfo|vtable|corefeed::fluids::detail::)")


def faults_of(listing: str) -> list[str]:
    """From `nm -C` of the library, the shared symbols that are not named after their object's instruction set."""
    faults = []
    own = None
    for line in listing.splitlines():
        header = re.match(r"^(\w+)\.cpp\.o:$", line)
        if header:
            own = header.group(1) if re.match(r"packed_(?!kernels)", header.group(1)) else None
            continue
        symbol = SHARED.match(line)
        if own is None or symbol is None or DATA.match(symbol.group(1)):
            continue
        architecture = {"packed_avx2": "xsimd::avx2>", "packed_avx512": "xsimd::avx512f>"}.get(own, "xsimd::sse2>")
        if own not in symbol.group(1) and architecture not in symbol.group(1):
            faults.append(f"{own}: {symbol.group(1)}")
    return faults


def main() -> None:
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    listing = subprocess.run(["nm", "-C", sys.argv[1]], capture_output=True, text=True, check=True).stdout
    if "packed_baseline.cpp.o:" not in listing:
        sys.exit(f"{sys.argv[1]} holds no packed_baseline.cpp.o")
    faults = faults_of(listing)
    for fault in faults:
        print(fault)
    sys.exit(1 if faults else 0)


if __name__ == "__main__":
    main()
