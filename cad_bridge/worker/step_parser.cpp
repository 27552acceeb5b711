// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_parser.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>

#include "corefeed/result.hpp"

namespace corefeed::worker {
namespace {

constexpr int deepest_brackets = 64;  // the format's own lists are two deep; readers recurse along brackets
constexpr std::size_t most_flaws = 20;
constexpr std::size_t most_units = 1'000;

EntityKind kind_of(std::string_view word) {
  if (word == "NEXT_ASSEMBLY_USAGE_OCCURRENCE") return EntityKind::usage;
  if (word == "MAPPED_ITEM") return EntityKind::mapped_item;
  if (word == "PRODUCT_DEFINITION" || word == "PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS")
    return EntityKind::product_definition;
  if (word == "PRODUCT_DEFINITION_SHAPE") return EntityKind::definition_shape;
  if (word == "SHAPE_DEFINITION_REPRESENTATION") return EntityKind::shape_definition;
  if (word == "GLOBAL_UNIT_ASSIGNED_CONTEXT") return EntityKind::unit_context;
  // Representations of styles list what the shape's own representation has counted already.
  if (word.ends_with("REPRESENTATION") && word.find("_PRESENTATION_") == std::string_view::npos)
    return EntityKind::representation;
  return EntityKind::other;
}

std::string unit_name(std::string_view prefix, std::string_view name, bool metric) {
  std::string word(name);
  std::ranges::transform(word, word.begin(),
                         [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  if (metric) {
    constexpr std::array<std::pair<std::string_view, std::string_view>, 5> prefixes{
        {{"", "m"}, {".MILLI.", "mm"}, {".CENTI.", "cm"}, {".MICRO.", "um"}, {".KILO.", "km"}}};
    const auto found =
        std::ranges::find(prefixes, prefix, &std::pair<std::string_view, std::string_view>::first);
    return found != prefixes.end() ? std::string(found->second) : fmt::format("{}metre", prefix);
  }
  if (word == "'inch'" || word == "'inches'" || word == "'in'") return "in";
  if (word == "'foot'" || word == "'feet'" || word == "'ft'") return "ft";
  return word.size() > 2 ? word.substr(1, std::min<std::size_t>(word.size() - 2, 40)) : "unnamed";
}

}  // namespace

std::vector<Flaw> StepParser::run() {
  read_file();
  return std::move(flaws_);
}

bool StepParser::fail(const Token& found, const char* code, std::string text) {
  if (found.kind == TokenKind::broken)
    flaws_.push_back(tokens_.flaw());
  else
    flaws_.push_back({code, found.at, std::move(text)});
  return false;
}

bool StepParser::unexpected(const Token& found, const char* expected) {
  if (found.kind == TokenKind::end)
    return fail(found, "cut_file",
                fmt::format("the file ends here although {} was expected: it was cut off", expected));
  return fail(found, "unexpected_word",
              fmt::format("{} stands where {} was expected", quoted(found.spelling), expected));
}

bool StepParser::expect(TokenKind kind, const char* what) {
  const Token found = tokens_.next();
  return found.kind == kind || unexpected(found, what);
}

bool StepParser::expect_keyword(std::string_view word, const char* code) {
  const Token found = tokens_.next();
  if (found.kind == TokenKind::end && found.at > 0) return unexpected(found, word.data());
  if (found.kind != TokenKind::keyword || found.spelling != word)
    return fail(found, code, fmt::format("{} was expected here, as in every STEP file (ISO 10303-21)", word));
  return expect(TokenKind::semicolon, "\";\"");
}

bool StepParser::read_file() {
  if (!expect_keyword("ISO-10303-21", "not_step") || !expect_keyword("HEADER", "no_header") || !read_header())
    return false;
  bool data = false;
  while (true) {
    const Token word = tokens_.next();
    if (word.kind == TokenKind::keyword && word.spelling == "END-ISO-10303-21") {
      if (!data) return fail(word, "no_data", "the file ends without a DATA section");
      return expect(TokenKind::semicolon, "\";\"");
    }
    if (word.kind == TokenKind::keyword && word.spelling == "DATA") {
      data = true;
      if (!read_data()) return false;
    } else if (word.kind == TokenKind::keyword &&
               (word.spelling == "ANCHOR" || word.spelling == "REFERENCE")) {
      if (!skip_section()) return false;
    } else {
      return unexpected(word, "DATA or END-ISO-10303-21");
    }
  }
}

bool StepParser::read_header() {
  while (true) {
    const Token word = tokens_.next();
    if (word.kind != TokenKind::keyword) return unexpected(word, "a line of the header or ENDSEC");
    if (word.spelling == "ENDSEC") break;
    if (!read_statement(true, word)) return false;
  }
  if (!expect(TokenKind::semicolon, "\";\"")) return false;
  // The application protocols that carry shapes of parts; newer editions keep the beginning of the name.
  constexpr std::array<std::string_view, 5> known{"AP2", "AUTOMOTIVE_DESIGN", "CONFIG_CONTROL",
                                                  "STRUCTURAL_ANALYSIS", "INTEGRATED_CNC"};
  std::string name = schema;
  std::ranges::transform(name, name.begin(),
                         [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  if (std::ranges::any_of(known, [&](std::string_view start) { return name.starts_with(start); }))
    return true;
  flaws_.push_back({"unknown_schema", schema_at_,
                    fmt::format("FILE_SCHEMA names {}; a file of parts (AP203, AP214 or AP242) was expected",
                                schema.empty() ? std::string("nothing") : quoted(schema))});
  return false;
}

bool StepParser::skip_section() {
  for (Token word = tokens_.next();; word = tokens_.next()) {
    if (word.kind == TokenKind::end || word.kind == TokenKind::broken) return unexpected(word, "ENDSEC");
    if (word.kind == TokenKind::keyword && word.spelling == "ENDSEC") break;
  }
  return expect(TokenKind::semicolon, "\";\"");
}

bool StepParser::read_data() {
  Token word = tokens_.next();
  if (word.kind == TokenKind::open) {  // DATA('name',('schema')); of the second edition
    while (word.kind != TokenKind::semicolon && word.kind != TokenKind::end && word.kind != TokenKind::broken)
      word = tokens_.next();
  }
  if (word.kind != TokenKind::semicolon) return unexpected(word, "\";\" after DATA");
  while (true) {
    word = tokens_.next();
    if (word.kind == TokenKind::keyword && word.spelling == "ENDSEC") break;
    if (word.kind != TokenKind::instance) return unexpected(word, "an entity such as #12=... or ENDSEC");
    if (!read_instance(word)) return false;
  }
  return expect(TokenKind::semicolon, "\";\"");
}

bool StepParser::read_instance(const Token& name) {
  if (graph.size() == limits_.entities)
    return fail(name, "too_many_entities",
                fmt::format("the file holds more than {} entities, the limit", limits_.entities));
  if (!expect(TokenKind::equals, "\"=\"")) return false;
  graph.ids.push_back(name.id);
  graph.offsets.push_back(static_cast<std::uint32_t>(name.at));
  graph.kinds.push_back(EntityKind::other);
  const Token word = tokens_.next();
  if (word.kind != TokenKind::keyword && word.kind != TokenKind::open)
    return unexpected(word, "the name of an entity such as CARTESIAN_POINT");
  if (!read_statement(false, word)) return false;
  graph.first.push_back(static_cast<std::uint32_t>(graph.references.size()));
  return true;
}

/// Everything up to the semicolon: NAME(...) or (NAME(...) NAME(...)).
bool StepParser::read_statement(bool in_header, Token word) {
  Nesting nesting;
  Entity entity;
  if (word.kind == TokenKind::open) nesting.component = 1;
  for (; word.kind != TokenKind::semicolon; word = tokens_.next())
    if (!read_word(in_header, word, nesting, entity)) return false;
  if (nesting.depth != 0)
    return fail(word, "unbalanced", fmt::format("{} brackets are still open at this \";\"", nesting.depth));
  if (in_header) return true;
  graph.kinds.back() = entity.kind;
  note_unit(entity);
  return true;
}

bool StepParser::read_word(bool in_header, const Token& word, Nesting& nesting, Entity& entity) {
  switch (word.kind) {
    case TokenKind::keyword:
      return read_keyword(in_header, word, nesting, entity);
    case TokenKind::open:
      return open_bracket(word, nesting);
    case TokenKind::close:
      if (--nesting.depth < 0)
        return fail(word, "unbalanced", "a bracket is closed here that was never opened");
      if (nesting.depth < nesting.typed) nesting.typed = 0;
      return true;
    case TokenKind::end:
    case TokenKind::broken:
    case TokenKind::equals:
    case TokenKind::resource:
      return unexpected(word, "\";\"");
    default:
      break;
  }
  if (nesting.depth <= nesting.component) return unexpected(word, "\";\"");
  if (in_header) {
    if (word.kind == TokenKind::text && schema.empty() && entity.name == "FILE_SCHEMA") note_schema(word);
    return true;
  }
  return read_value(word, nesting, entity);
}

bool StepParser::open_bracket(const Token& word, Nesting& nesting) {
  return ++nesting.depth <= deepest_brackets ||
         fail(word, "unbalanced",
              fmt::format("more than {} brackets one within the other", deepest_brackets));
}

bool StepParser::read_value(const Token& word, const Nesting& nesting, Entity& entity) {
  if (word.kind == TokenKind::instance) {
    if (graph.references.size() == limits_.references)
      return fail(word, "too_many_references",
                  fmt::format("the file holds more than {} references, the limit", limits_.references));
    graph.references.push_back(word.id);
  } else if (word.kind == TokenKind::number) {
    if (entity.coordinates && ++entity.numbers > 3)
      return fail(
          word, "too_many_coordinates",
          "a point or direction has three numbers and this is the fourth; the mark before decimals is a "
          "dot in STEP, not a comma");
    auto flaw = judge_number(word, nesting.typed == 0 || !nesting.measure);
    if (!flaw) return true;
    flaws_.push_back(std::move(*flaw));
    return flaws_.size() < most_flaws;
  } else if (word.kind == TokenKind::enumeration && entity.si_unit) {
    entity.prefix = entity.name;  // SI_UNIT(.MILLI.,.METRE.) or SI_UNIT($,.METRE.)
    entity.name = word.spelling;
  } else if (word.kind == TokenKind::text && entity.converted && entity.name.empty()) {
    entity.name = word.spelling;
  }
  return true;
}

/// A word opens an entity's attributes, or a typed value among them; alone it is nothing, or NAN.
bool StepParser::read_keyword(bool in_header, const Token& word, Nesting& nesting, Entity& entity) {
  const Token following = tokens_.next();
  if (following.kind != TokenKind::open) {
    if (names_no_finite_number(word.spelling))
      return fail(word, "number_not_finite",
                  fmt::format("{} stands where a finite number was expected", quoted(word.spelling)));
    return unexpected(following, "\"(\"");
  }
  if (nesting.depth == nesting.component) {
    if (in_header) entity.name = word.spelling;
    const EntityKind kind = kind_of(word.spelling);
    if (kind != EntityKind::other && (kind != EntityKind::representation || entity.kind == EntityKind::other))
      entity.kind = kind;
    entity.length_unit |= word.spelling == "LENGTH_UNIT";
    entity.coordinates = word.spelling == "CARTESIAN_POINT" || word.spelling == "DIRECTION";
    entity.numbers = 0;
    entity.si_unit = word.spelling == "SI_UNIT";
    entity.converted = word.spelling == "CONVERSION_BASED_UNIT";
  } else if (nesting.typed == 0) {
    nesting.typed = nesting.depth + 1;
    nesting.measure = word.spelling.ends_with("_MEASURE") && !word.spelling.ends_with("LENGTH_MEASURE");
  }
  return open_bracket(following, nesting);
}

/// The protocol's name alone, without the object identifier that may follow it.
void StepParser::note_schema(const Token& word) {
  const std::string_view text = word.spelling.substr(1, word.spelling.size() - 2);
  schema_at_ = word.at;
  schema = text.substr(0, std::min<std::size_t>(text.find_first_of(" {.\r\n\t"), 100));
}

void StepParser::note_unit(Entity entity) {
  const bool metric = entity.name == ".METRE.";
  if (!(metric || (entity.length_unit && !entity.name.empty())) || units.size() == most_units) return;
  units.emplace_back(static_cast<std::uint32_t>(graph.size() - 1),
                     unit_name(entity.prefix, entity.name, metric));
}

}  // namespace corefeed::worker
