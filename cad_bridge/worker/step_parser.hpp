// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "cad_bridge/worker/step_graph.hpp"
#include "cad_bridge/worker/step_prescan.hpp"
#include "cad_bridge/worker/step_tokens.hpp"

/// Reads the sections of a STEP file and keeps what the pre-scan judges: references, kinds and units. No
/// value of an attribute is kept.
namespace corefeed::worker {

class StepParser {
 public:
  StepParser(std::string_view text, const PrescanLimits& limits) : tokens_(text), limits_(limits) {}

  /// Reads the whole file. The first flaw of syntax ends the reading; bad numbers are collected.
  std::vector<Flaw> run();

  std::string schema;                                        ///< first name of FILE_SCHEMA
  ReferenceGraph graph;                                      ///< references not yet resolved
  std::vector<std::pair<std::uint32_t, std::string>> units;  ///< index of an entity, its unit of length

 private:
  /// What the words of the present entity have told so far.
  struct Entity {
    EntityKind kind = EntityKind::other;
    bool length_unit = false;
    bool coordinates = false;  ///< the component being read is a point or a direction
    int numbers = 0;           ///< of it
    bool si_unit = false;      ///< the component being read is an SI_UNIT
    bool converted = false;    ///< the component being read is a CONVERSION_BASED_UNIT
    std::string_view prefix;   ///< of the SI unit
    std::string_view name;     ///< of the SI unit, or the converted unit's own word in quotes
  };
  /// Brackets around the present word, and the typed value (as LENGTH_MEASURE(1.)) it stands in.
  struct Nesting {
    int depth = 0;
    int component = 0;     ///< depth at which an entity's own words stand: 1 in (A() B()), else 0
    int typed = 0;         ///< depth inside the outermost typed value; 0 outside of one
    bool measure = false;  ///< that value is a quantity other than a length: any finite number will do
  };

  bool read_file();
  bool read_header();
  bool read_data();
  bool skip_section();
  bool read_statement(bool in_header, Token first);
  bool read_word(bool in_header, const Token& word, Nesting& nesting, Entity& entity);
  bool read_keyword(bool in_header, const Token& word, Nesting& nesting, Entity& entity);
  bool read_instance(const Token& name);
  bool read_value(const Token& word, const Nesting& nesting, Entity& entity);
  bool open_bracket(const Token& word, Nesting& nesting);
  void note_schema(const Token& word);
  void note_unit(Entity entity);
  bool expect(TokenKind kind, const char* what);
  bool expect_keyword(std::string_view word, const char* code);
  bool fail(const Token& found, const char* code, std::string text);
  bool unexpected(const Token& found, const char* expected);

  Tokenizer tokens_;
  PrescanLimits limits_;
  std::vector<Flaw> flaws_;
  std::size_t schema_at_ = 0;
};

}  // namespace corefeed::worker
