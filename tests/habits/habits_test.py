# SPDX-License-Identifier: Apache-2.0
"""Whether the habits' scripts see what they are for: each fault is planted into a copy of the tree.

    python3 habits_test.py TREE
"""

import shutil
import subprocess
import sys
import tempfile
import unittest
from pathlib import Path

from packed_symbols import faults_of
from sources import CPP, files

HERE = Path(__file__).parent
TREE = Path(sys.argv.pop() if len(sys.argv) > 1 else HERE.parent.parent)


class Planted(unittest.TestCase):
    def setUp(self) -> None:
        self.copy = Path(tempfile.mkdtemp())
        self.addCleanup(shutil.rmtree, self.copy)
        pages = [TREE / name for name in ("README.md", "DEVELOPERS.md", "LICENSE", ".ci/run", ".ci/packages")]
        pages += sorted((TREE / "docs").rglob("*.md")) + sorted((TREE / "tests/mutants").glob("*.txt"))
        for path in [*files(TREE, ["lib", "cad_bridge", "geometry_samples", "tests"], CPP), *pages]:
            target = self.copy / path.relative_to(TREE)
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, target)

    def run_habit(self, habit: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run([sys.executable, HERE / f"{habit}.py", *arguments, self.copy], capture_output=True,
                              text=True, check=False)

    def plant(self, name: str, text: str) -> int:
        """Appends the text to a file, made if need be; its first line's number."""
        path = self.copy / name
        path.parent.mkdir(parents=True, exist_ok=True)
        before = path.read_text(encoding="utf-8") if path.exists() else "// SPDX-License-Identifier: Apache-2.0\n"
        path.write_text(before + text + "\n", encoding="utf-8")
        return before.count("\n") + 1

    def expect_fault(self, habit: str, name: str, text: str) -> None:
        line = self.plant(name, text)
        done = self.run_habit(habit)
        self.assertEqual(done.returncode, 1, done.stderr)
        self.assertIn(f"{name}:{line}:", done.stdout)

    def expect_silence(self, habit: str, name: str, text: str) -> None:
        self.plant(name, text)
        self.assertNotIn(f"{name}:", self.run_habit(habit).stdout)


class Layering(Planted):
    def test_back_include(self) -> None:
        self.expect_fault("layering", "lib/corefeed/losses/laws/duct.cpp", '#include "corefeed/network/network.hpp"')

    def test_back_include_with_blanks_and_angles(self) -> None:
        self.expect_fault("layering", "lib/corefeed/fluids/air.cpp", "#  include <corefeed/model/model.hpp>")

    def test_room_before_is_allowed(self) -> None:
        self.expect_silence("layering", "lib/corefeed/reports/planted.cpp", '#include "corefeed/model/model.hpp"')

    def test_common_header_is_allowed(self) -> None:
        self.expect_silence("layering", "lib/corefeed/units/planted.cpp", '#include "corefeed/version.hpp"')

    def test_room_that_is_not_listed(self) -> None:
        self.expect_fault("layering", "lib/corefeed/misc/planted.cpp", '#include "corefeed/units/quantity.hpp"')

    def test_library_includes_bridge(self) -> None:
        self.expect_fault("layering", "lib/corefeed/model/build.cpp", '#include "cad_bridge/worker/worker.hpp"')

    def test_command_includes_geometry(self) -> None:
        self.expect_fault("layering", "cad_bridge/command/planted.cpp", '#include "cad_bridge/geometry/measure.hpp"')

    def test_worker_includes_geometry(self) -> None:
        self.expect_fault("layering", "cad_bridge/worker/worker.cpp", '#include "cad_bridge/geometry/measure.hpp"')

    def test_worker_includes_proposal(self) -> None:
        self.expect_fault("layering", "cad_bridge/worker/worker.cpp", '#include "cad_bridge/proposal/planted.hpp"')

    def test_public_header_includes_private_one(self) -> None:
        self.expect_fault("layering", "lib/corefeed/studies/study.hpp", '#include "corefeed/network/solver.hpp"')

    def test_bridge_includes_private_header(self) -> None:
        self.expect_fault("layering", "cad_bridge/command/planted.cpp", '#include "corefeed/losses/law.hpp"')

    def test_opencascade_outside_geometry(self) -> None:
        self.expect_fault("layering", "cad_bridge/worker/worker.cpp", "#include <TopoDS_Shape.hxx>")

    def test_boost_graph_in_model(self) -> None:
        self.expect_fault("layering", "lib/corefeed/model/build.cpp", "#include <boost/graph/adjacency_list.hpp>")

    def test_json_in_header(self) -> None:
        self.expect_fault("layering", "lib/corefeed/model/document.hpp", "#include <nlohmann/json.hpp>")

    def test_eigen_in_public_header(self) -> None:
        self.expect_fault("layering", "lib/corefeed/network/network.hpp", "#include <Eigen/Core>")

    def test_format_in_header(self) -> None:
        self.expect_fault("layering", "cad_bridge/worker/worker.hpp", "#include <fmt/format.h>")

    def test_command_line_parser_in_library(self) -> None:
        self.expect_fault("layering", "lib/corefeed/studies/study.cpp", "#include <CLI/CLI.hpp>")

    def test_xml_in_model(self) -> None:
        self.expect_fault("layering", "lib/corefeed/model/build.cpp", "#include <pugixml.hpp>")

    def test_unknown_library(self) -> None:
        self.expect_fault("layering", "lib/corefeed/model/build.cpp", "#include <newlib/new.hpp>")

    def test_path_that_is_not_whole(self) -> None:
        self.expect_fault("layering", "lib/corefeed/model/build.cpp", '#include "build.hpp"')


class PackedSymbols(unittest.TestCase):
    def test_symbol_without_its_instruction_set(self) -> None:
        listing = "\npacked_avx2.cpp.o:\n00 W corefeed::losses::plain(double)\n00 t corefeed::own(double)\n"
        self.assertEqual(faults_of(listing), ["packed_avx2: corefeed::losses::plain(double)"])

    def test_symbol_of_another_instruction_set(self) -> None:
        self.assertEqual(len(faults_of("\npacked_avx2.cpp.o:\n00 W f<xsimd::avx512f>()\n")), 1)

    def test_symbol_named_after_its_own(self) -> None:
        listing = "\npacked_avx2.cpp.o:\n00 W corefeed::law<corefeed::packed_avx2::Pack>()\n" \
                  "00 W xsimd::exp<xsimd::avx2>()\n\nother.cpp.o:\n00 W f()\n"
        self.assertEqual(faults_of(listing), [])


class Others(Planted):
    def test_printing(self) -> None:
        for text in ("void f() { std::cout << 1; }", 'void f() { printf("x"); }', 'void f() { fmt::print("x"); }',
                     "void f() { std::abort(); }"):
            self.expect_fault("printing", "lib/corefeed/units/planted.cpp", text)

    def test_words_that_do_not_print(self) -> None:
        self.expect_silence("printing", "lib/corefeed/units/planted.cpp",
                            '// printf("x")\nconst char* a = "std::cout"; void fingerprint(int);')

    def test_bytes_outside_ascii(self) -> None:
        self.expect_fault("sizes", "lib/corefeed/units/planted.cpp", "// 30 \u00b0")

    def test_long_file(self) -> None:
        self.plant("lib/corefeed/units/planted.cpp", "\n" * 800)
        self.assertIn("lib/corefeed/units/planted.cpp: 802 lines", self.run_habit("sizes").stdout)

    def test_license_line(self) -> None:
        (self.copy / "lib/corefeed/units/planted.cpp").write_text("int a;\n", encoding="utf-8")
        self.assertIn("lib/corefeed/units/planted.cpp: its first lines lack", self.run_habit("sizes").stdout)

    def test_picture_draws_and_reads_itself(self) -> None:
        self.assertEqual(self.run_habit("picture", "--write").returncode, 0)
        self.plant("lib/corefeed/units/quantity.cpp", '#include "corefeed/reports/atomic_file.hpp"')
        done = self.run_habit("picture")
        self.assertEqual(done.returncode, 1)
        self.assertIn("lacks that units includes reports", done.stdout)

    def test_picture_with_an_edge_too_many(self) -> None:
        self.plant("lib/corefeed/units/quantity.cpp", '#include "corefeed/reports/atomic_file.hpp"')
        self.run_habit("picture", "--write")
        shutil.copyfile(TREE / "lib/corefeed/units/quantity.cpp", self.copy / "lib/corefeed/units/quantity.cpp")
        self.assertIn("shows that units includes reports", self.run_habit("picture").stdout)

    def test_planted_fault_without_its_text(self) -> None:
        line = self.plant("tests/mutants/laws.txt", "\nlib/corefeed/losses/laws/duct.cpp: planted\n- no such text\n+ x")
        self.assertIn(f"tests/mutants/laws.txt:{line + 1}: lib/corefeed/losses/laws/duct.cpp holds \"no such text\" 0 "
                      "times", self.run_habit("mutants").stdout)

    def test_planted_fault_cut_short(self) -> None:
        self.plant("tests/mutants/laws.txt", "\nlib/corefeed/losses/laws/duct.cpp: planted\n- out.item[0]")
        self.assertIn("found \"lib/corefeed/losses/laws/duct.cpp: planted\", expected",
                      self.run_habit("mutants").stdout)

    def test_law_without_planted_faults(self) -> None:
        self.plant("lib/corefeed/losses/laws/planted.cpp", "")
        self.assertIn("laws/planted.cpp: 0 planted faults", self.run_habit("mutants").stdout)

    def test_dead_link(self) -> None:
        self.plant("docs/start.md", "[there](nowhere.md)")
        self.assertIn("docs/start.md: the link to nowhere.md", self.run_habit("docs").stdout)

    def test_package_without_license(self) -> None:
        self.plant(".ci/packages", "run libplanted-dev")
        self.assertIn("docs/licences.md: does not name libplanted-dev", self.run_habit("docs").stdout)

    def test_named_test_that_is_not_there(self) -> None:
        self.plant("docs/reliability.md", "| class | 3 | `tests/units/result_test.cpp` `DoesNotStandThere` |")
        self.assertIn('tests/units/result_test.cpp has no test "DoesNotStandThere"', self.run_habit("docs").stdout)

    def test_named_file_that_is_not_there(self) -> None:
        self.plant("docs/verification.md", "| a claim | | `tests/planted_test.py` |")
        self.assertIn("there is no tests/planted_test.py", self.run_habit("docs").stdout)

    def test_command_that_is_not_run(self) -> None:
        self.plant("README.md", "    .ci/install run && cmake --workflow --preset planted")
        self.assertIn(".ci/run does not run", self.run_habit("docs").stdout)


if __name__ == "__main__":
    unittest.main()
