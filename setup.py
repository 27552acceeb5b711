# SPDX-License-Identifier: Apache-2.0
"""How CMake makes the Python package; what it is stands in pyproject.toml."""
import re

from skbuild import setup

with open("CMakeLists.txt", encoding="utf-8") as file:
    version = re.search(r"project\(corefeed VERSION ([0-9.]+)", file.read()).group(1)

setup(
    version=version,
    packages=["corefeed"],
    package_dir={"": "cad_bridge/python"},
    package_data={"corefeed": ["*.pyi", "py.typed"]},
    cmake_install_dir="cad_bridge/python",
    cmake_install_target="install_python",
    cmake_args=["-DCOREFEED_WITH_CAD=OFF", "-DCOREFEED_BUILD_TESTS=OFF", "-DCOREFEED_PYTHON_FOLDER=.",
                "-DCOREFEED_JOIN_SOURCES=ON"],
)
