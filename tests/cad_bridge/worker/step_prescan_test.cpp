// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_prescan.hpp"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <string>

namespace corefeed::worker {
namespace {

/// A STEP file around the given entities; line 7 is the first of them.
std::string step(const std::string& data,
                 const std::string& schema = "AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }") {
  return "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION(('a ''quoted'' part'),'2;1');\n"
         "FILE_NAME('p','2020-01-01T00:00:00',('a'),('b'),'','','');\nFILE_SCHEMA(('" +
         schema + "'));\nENDSEC;DATA;\n" + data + "ENDSEC;\nEND-ISO-10303-21;\n";
}

std::string refusal(const std::string& text, int* line = nullptr, const PrescanLimits& limits = {}) {
  const auto result = prescan_step(text, limits);
  if (result.ok()) return "accepted";
  for (const Issue& issue : result.issues()) {
    EXPECT_EQ(issue.status, Status::geometry);
    EXPECT_GE(issue.place.line, 1);
    EXPECT_FALSE(issue.text.empty());
  }
  if (line != nullptr) *line = result.issues().front().place.line;
  return result.issues().front().code;
}

const std::string small_file = step(
    "#1=CARTESIAN_POINT('',(1.,-2.5E-3,0.));\n#2=DIRECTION('it''s ; # (',(0.,0.,1.));\n"
    "#3=AXIS2_PLACEMENT_3D('',#1,#2,$);\n"
    "#4=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));\n"
    "#5=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#4))REPRESENTATION_CONTEXT('',''));"
    "\n"
    "#6=SHAPE_REPRESENTATION('',(#3),#5);\n");

TEST(StepPrescan, tells_what_a_sound_file_holds) {
  const auto result = prescan_step(small_file);
  ASSERT_TRUE(result.ok()) << describe(result.issues().front());
  EXPECT_EQ(result.value().schema, "AUTOMOTIVE_DESIGN");
  EXPECT_EQ(result.value().entities, 6u);
  EXPECT_EQ(result.value().references, 5u);
  EXPECT_EQ(result.value().chain, 3u);  // 6 -> 3 -> 1
  EXPECT_EQ(result.value().length_units, std::vector<std::string>{"mm"});
}

TEST(StepPrescan, line_ends_comments_and_a_mark_in_front_never_make_a_file_bad) {
  std::string returns = small_file;
  std::ranges::replace(returns, '\n', '\r');
  std::string windows;
  for (const char c : small_file) windows += c == '\n' ? "\r\n" : std::string(1, c);
  std::string single_line = small_file;
  std::ranges::replace(single_line, '\n', ' ');
  EXPECT_EQ(refusal(returns), "accepted");
  EXPECT_EQ(refusal(windows), "accepted");
  EXPECT_EQ(refusal(single_line), "accepted");
  EXPECT_EQ(refusal("/* made by hand\n * #99 'x */\n\n" + small_file), "accepted");
  EXPECT_EQ(refusal("\xEF\xBB\xBF" + small_file), "accepted");
  EXPECT_EQ(refusal(step("#1 = /* here */ CARTESIAN_POINT ( '' , /* ' */ ( 0. , +1. , 1 ) ) ;\n")),
            "accepted");
}

TEST(StepPrescan, every_beginning_of_a_file_is_refused) {
  const std::size_t whole = small_file.find("END-ISO-10303-21;") + std::string("END-ISO-10303-21;").size();
  for (std::size_t size = 0; size < whole; ++size)
    EXPECT_NE(refusal(small_file.substr(0, size)), "accepted") << size;
  EXPECT_EQ(refusal(small_file.substr(0, whole)), "accepted");
}

TEST(StepPrescan, a_cut_file_is_called_cut_with_its_last_line) {
  int line = 0;
  EXPECT_EQ(refusal(small_file.substr(0, small_file.find("#3=AXIS")), &line), "cut_file");
  EXPECT_EQ(line, 9);
  EXPECT_EQ(refusal(""), "empty_file");
  EXPECT_EQ(refusal(step("#1=TEXT('never closed);\n"), &line), "cut_file");
  EXPECT_EQ(line, 7);
}

TEST(StepPrescan, other_files_are_told_what_they_look_like) {
  EXPECT_EQ(refusal("hello"), "not_step");
  const auto archive = prescan_step(std::string_view("PK\x03\x04\0\0 more", 10));
  ASSERT_FALSE(archive.ok());
  EXPECT_EQ(archive.issues().front().code, "not_step");
  EXPECT_NE(archive.issues().front().text.find("ZIP archive"), std::string::npos);
  EXPECT_EQ(refusal("ISO-10303-21;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n"), "no_header");
  EXPECT_EQ(refusal("ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AP214'));\nENDSEC;\nEND-ISO-10303-21;"),
            "no_data");
  EXPECT_EQ(refusal(step("")), "no_entities");
  int line = 0;
  EXPECT_EQ(refusal(step("#1=IFCWALL('');\n", "IFC4"), &line), "unknown_schema");
  EXPECT_EQ(line, 5);
  EXPECT_EQ(refusal("ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\n#1=A();\nENDSEC;\nEND-ISO-10303-21;"),
            "unknown_schema");
}

TEST(StepPrescan, faults_of_syntax_are_named_with_their_line) {
  int line = 0;
  EXPECT_EQ(refusal(step("#1=A();\n#2=B(#1;\n"), &line), "unbalanced");
  EXPECT_EQ(line, 8);
  EXPECT_EQ(refusal(step("#1=A());\n")), "unbalanced");
  EXPECT_EQ(refusal(step("#1=A()\n#2=B();\n")), "unexpected_word");
  EXPECT_EQ(refusal(step("#1 A();\n")), "unexpected_word");
  EXPECT_EQ(refusal(step("A();\n")), "unexpected_word");
  EXPECT_EQ(refusal(step("#=A();\n")), "bad_instance_name");
  EXPECT_EQ(refusal(step("#4294967295=A();\n")), "bad_instance_name");
  EXPECT_EQ(refusal(step("#1=A(.T);\n")), "bad_word");
  EXPECT_EQ(refusal(step("#1=A(@2);\n")), "unexpected_byte");
  EXPECT_EQ(refusal(step(std::string("#1=A(\0);\n", 9))), "unexpected_byte");
  EXPECT_EQ(refusal(step("#1=A(/* );\n")), "unclosed_comment");
  EXPECT_EQ(refusal(step("#1=A(" + std::string(100'000, '(') + std::string(100'000, ')') + ");\n")),
            "unbalanced");
}

TEST(StepPrescan, numbers_that_make_kernels_loop_are_refused) {
  const auto with = [](const std::string& number) {
    return refusal(
        step("#1=CARTESIAN_POINT('',(0.,0.,0.));\n#2=CARTESIAN_POINT('',(0.," + number + ",0.));\n"));
  };
  for (const char* sound :
       {"1.", "-1.E-17", "999999999.", "1.E9", "+12", ".5", "0.E+999", "12345678901234567E-9"})
    EXPECT_EQ(with(sound), "accepted") << sound;
  for (const char* huge : {"1.000001E9", "-1E300", "10000000000.", "99999999999"})
    EXPECT_EQ(with(huge), "number_too_large") << huge;
  for (const char* endless : {"1.E999", "-1E400", "NAN", "-nan", "INF", "+Infinity", "1.#INF", "-1.#QNAN"})
    EXPECT_EQ(with(endless), "number_not_finite") << endless;
  EXPECT_EQ(with("9" + std::string(400, '0') + "."), "number_not_finite");
  for (const char* tiny : {"1.E-300", "-1E-999", "4.9E-324"})
    EXPECT_EQ(with(tiny), "number_too_small") << tiny;
  for (const char* broken : {"1.2.3", "1.5D3", "--1", "1.E", ".", "-", "0x10"})
    EXPECT_EQ(with(broken), "bad_number") << broken;
  EXPECT_EQ(with("inside"), "unexpected_word");
}

TEST(StepPrescan, a_stiffness_may_be_larger_than_a_length) {
  EXPECT_EQ(refusal(step("#1=MEASURE_WITH_UNIT(PRESSURE_MEASURE(2.1E11),$);\n")), "accepted");
  EXPECT_EQ(refusal(step("#1=MEASURE_WITH_UNIT(PRESSURE_MEASURE(2.1E999),$);\n")), "number_not_finite");
  EXPECT_EQ(refusal(step("#1=MEASURE_WITH_UNIT(LENGTH_MEASURE(2.1E11),$);\n")), "number_too_large");
  EXPECT_EQ(refusal(step("#1=A(PRESSURE_MEASURE(1.),2.1E11);\n")), "number_too_large");
}

TEST(StepPrescan, all_bad_numbers_are_listed_up_to_a_limit) {
  std::string data;
  for (int i = 1; i <= 50; ++i) data += fmt::format("#{}=CARTESIAN_POINT('',(1.E300,0.,0.));\n", i);
  const auto result = prescan_step(step(data));
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(result.issues().size(), 20u);
  EXPECT_EQ(result.issues()[1].place.line, 8);
}

/// (1,5,0.,0.) is what a decimal comma makes of (1.5,0.,0.): a kernel would take the first three numbers.
TEST(StepPrescan, a_point_has_three_numbers_at_most) {
  int line = 0;
  EXPECT_EQ(refusal(step("#1=CARTESIAN_POINT('',(0.,0.,0.));\n#2=CARTESIAN_POINT('',(1,5,0.,0.));\n"), &line),
            "too_many_coordinates");
  EXPECT_EQ(line, 8);
  EXPECT_EQ(refusal(step("#1=DIRECTION('',(0.,0.,1.,0.));\n")), "too_many_coordinates");
  EXPECT_EQ(refusal(step("#1=CARTESIAN_POINT('',(0.,0.));\n#2=KNOTS((1.,2.,3.,4.));\n")), "accepted");
}

TEST(StepPrescan, references_have_to_lead_somewhere_and_only_once) {
  int line = 0;
  EXPECT_EQ(refusal(step("#1=A(#2);\n#2=B();\n#3=C((#2,#9));\n"), &line), "dangling_reference");
  EXPECT_EQ(line, 9);
  EXPECT_EQ(refusal(step("#1=A();\n#2=B();\n#1=C();\n"), &line), "duplicate_instance");
  EXPECT_EQ(line, 9);
  // Numbers far apart take another way to be found.
  EXPECT_EQ(refusal(step("#4000000000=A(#7);\n#7=B(#1000000);\n#1000000=C();\n")), "accepted");
  EXPECT_EQ(refusal(step("#4000000000=A(#8);\n#7=B();\n")), "dangling_reference");
  EXPECT_EQ(refusal(step("#4000000000=A();\n#4000000000=B();\n")), "duplicate_instance");
}

TEST(StepPrescan, circles_are_refused_and_named) {
  EXPECT_EQ(refusal(step("#1=ORIENTED_EDGE('',*,*,#1,.T.);\n")), "circular_reference");
  const auto result = prescan_step(step("#1=A(#2);\n#2=B(#3);\n#3=C(#4);\n#4=D(#2);\n"));
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(result.issues().front().code, "circular_reference");
  EXPECT_NE(result.issues().front().text.find("#2 -> #3 -> #4 -> #2"), std::string::npos);
  // Two ways to one entity are no circle.
  EXPECT_EQ(refusal(step("#1=A(#2,#3);\n#2=B(#4);\n#3=C(#4);\n#4=D();\n")), "accepted");
}

TEST(StepPrescan, an_assembly_cannot_contain_itself) {
  EXPECT_EQ(refusal(step("#1=PRODUCT_DEFINITION('','',$,$);\n#2=PRODUCT_DEFINITION('','',$,$);\n"
                         "#3=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#1,#2,$);\n"
                         "#4=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#2,#1,$);\n")),
            "circular_reference");
}

/// `levels` assemblies, each with `copies` of the next, the last with one part.
std::string nested_assemblies(int levels, int copies) {
  std::string data = "#1=PRODUCT_DEFINITION('','',$,$);\n";
  int next = 2;
  int inner = 1;
  for (int level = 0; level < levels; ++level) {
    const int outer = next++;
    data += fmt::format("#{}=PRODUCT_DEFINITION('','',$,$);\n", outer);
    for (int copy = 0; copy < copies; ++copy)
      data += fmt::format("#{}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#{},#{},$);\n", next++, outer, inner);
    inner = outer;
  }
  return step(data);
}

/// The same with mapped items, and a product whose shape they are.
std::string nested_maps(int levels, int copies) {
  std::string data = "#1=CARTESIAN_POINT('',(0.,0.,0.));\n#2=SHAPE_REPRESENTATION('',(#1),$);\n";
  int next = 3;
  int inner = 2;
  for (int level = 0; level < levels; ++level) {
    const int map = next++;
    data += fmt::format("#{}=REPRESENTATION_MAP(#1,#{});\n", map, inner);
    std::string items;
    for (int copy = 0; copy < copies; ++copy) {
      data += fmt::format("#{}=MAPPED_ITEM('',#{},#1);\n", next, map);
      items += fmt::format("{}#{}", copy > 0 ? "," : "", next++);
    }
    inner = next++;
    data += fmt::format("#{}=SHAPE_REPRESENTATION('',({}),$);\n", inner, items);
  }
  data += fmt::format(
      "#{0}=PRODUCT_DEFINITION('','',$,$);\n#{1}=PRODUCT_DEFINITION_SHAPE('','',#{0});\n"
      "#{2}=SHAPE_DEFINITION_REPRESENTATION(#{1},#{3});\n",
      next, next + 1, next + 2, inner);
  return step(data);
}

TEST(StepPrescan, placed_parts_are_counted_exactly) {
  const auto assemblies = prescan_step(nested_assemblies(3, 10));
  ASSERT_TRUE(assemblies.ok());
  EXPECT_EQ(assemblies.value().instances, 1u + 10 + 100 + 1000);
  EXPECT_EQ(assemblies.value().nesting, 3u);
  const auto maps = prescan_step(nested_maps(3, 10));
  ASSERT_TRUE(maps.ok());
  EXPECT_EQ(maps.value().instances, 1u + 10 + 100 + 1000);
  EXPECT_EQ(maps.value().nesting, 3u);
}

TEST(StepPrescan, a_small_file_of_many_copies_is_refused) {
  EXPECT_EQ(refusal(nested_assemblies(8, 10)), "too_many_instances");
  EXPECT_EQ(refusal(nested_maps(8, 10)), "too_many_instances");
  EXPECT_EQ(refusal(nested_maps(60, 40)), "too_many_instances");  // 40^60 does not wrap round
  EXPECT_EQ(refusal(nested_assemblies(64, 1)), "accepted");
  EXPECT_EQ(refusal(nested_assemblies(65, 1)), "nested_too_deeply");
}

TEST(StepPrescan, copies_by_assembly_and_by_map_multiply) {
  std::string data = nested_maps(1, 400);
  data.erase(data.find("ENDSEC;\nEND-ISO"));
  // nested_maps ends with the product definition as its last but two entity: #405.
  data += "#900=PRODUCT_DEFINITION('','',$,$);\n";
  for (int i = 901; i <= 1200; ++i)
    data += fmt::format("#{}=NEXT_ASSEMBLY_USAGE_OCCURRENCE('','','',#900,#405,$);\n", i);
  data += "ENDSEC;\nEND-ISO-10303-21;\n";
  EXPECT_EQ(refusal(data), "too_many_instances");  // 300 x 401
  PrescanLimits roomy;
  roomy.instances = 1'000'000;
  const auto result = prescan_step(data, roomy);
  ASSERT_TRUE(result.ok());
  EXPECT_EQ(result.value().instances, 1u + 300 * (1 + 400));
}

TEST(StepPrescan, long_chains_are_refused_without_recursion_of_our_own) {
  const auto chain = [](int length) {
    std::string data;
    for (int i = 1; i < length; ++i) data += fmt::format("#{}=ORIENTED_EDGE('',*,*,#{},.T.);\n", i, i + 1);
    return step(data + fmt::format("#{}=EDGE_CURVE('',$,$,$,.T.);\n", length));
  };
  EXPECT_EQ(refusal(chain(1000)), "accepted");
  EXPECT_EQ(refusal(chain(1001)), "chain_too_long");
  EXPECT_EQ(refusal(chain(300'000)), "chain_too_long");
}

TEST(StepPrescan, limits_of_size_hold) {
  PrescanLimits limits;
  limits.entities = 2;
  EXPECT_EQ(refusal(step("#1=A();\n#2=A();\n"), nullptr, limits), "accepted");
  EXPECT_EQ(refusal(step("#1=A();\n#2=A();\n#3=A();\n"), nullptr, limits), "too_many_entities");
  limits.references = 2;
  EXPECT_EQ(refusal(step("#1=A();\n#2=A(#1,#1);\n"), nullptr, limits), "accepted");
  EXPECT_EQ(refusal(step("#1=A();\n#2=A(#1,#1,#1);\n"), nullptr, limits), "too_many_references");
  limits.bytes = small_file.size() - 1;
  EXPECT_EQ(refusal(small_file, nullptr, limits), "file_too_large");
}

TEST(StepPrescan, units_are_those_of_the_context) {
  const auto units = [](const std::string& data) {
    const auto result = prescan_step(step(data));
    return result.ok() ? result.value().length_units : std::vector<std::string>{result.issues().front().code};
  };
  const std::string millimetre = "#1=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));\n";
  const std::string inch =
      "#2=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#1);\n#3=(CONVERSION_BASED_UNIT('INCH',#2)LENGTH_"
      "UNIT()"
      "NAMED_UNIT(#9));\n#9=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);\n";
  const std::string radian = "#4=(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.));\n";
  using Names = std::vector<std::string>;
  EXPECT_EQ(units(millimetre + radian), Names{});
  EXPECT_EQ(units(millimetre + radian + "#5=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',(#1,#4));\n"), Names{"mm"});
  EXPECT_EQ(units(millimetre + inch + radian + "#5=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',(#4,#3));\n"),
            Names{"in"});
  const auto named = [&](std::string_view name) {
    return units(millimetre + fmt::format("#2=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(1.),#1);\n"
                                          "#3=(CONVERSION_BASED_UNIT('{}',#2)LENGTH_UNIT()NAMED_UNIT(*));\n"
                                          "#5=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',(#3));\n",
                                          name));
  };
  EXPECT_EQ(named("inches"), Names{"in"});
  EXPECT_EQ(named("FOOT"), Names{"ft"});
  EXPECT_EQ(named("ft"), Names{"ft"});
  EXPECT_EQ(named("cubit"), Names{"cubit"});
  EXPECT_EQ(named(""), Names{"unnamed"});
  EXPECT_EQ(units(radian + "#5=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',(#4));\n"), Names{});
  EXPECT_EQ(units("#1=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT($,.METRE.));\n#5=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',"
                  "(#1));\n"),
            Names{"m"});
  EXPECT_EQ(units(millimetre + inch +
                  "#5=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',(#1));\n"
                  "#6=GLOBAL_UNIT_ASSIGNED_CONTEXT('','',(#3));\n"),
            (Names{"mm", "in"}));
}

TEST(StepPrescan, sections_of_later_editions_are_read_over) {
  EXPECT_EQ(refusal("ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('AP242_MANAGED_MODEL_BASED_3D_ENGINEERING_MIM_LF'))"
                    ";\nENDSEC;\n"
                    "ANCHOR;\n<origin>=#1;\nENDSEC;\nDATA('one',('AP242'));\n#1=A();\nENDSEC;\n"
                    "DATA;\n#2=B(#1);\nENDSEC;\nEND-ISO-10303-21;\n"),
            "accepted");
}

}  // namespace
}  // namespace corefeed::worker
