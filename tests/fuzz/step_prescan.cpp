// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/worker/step_prescan.hpp"

#include <malloc.h>

#include <algorithm>
#include <atomic>
#include <cctype>
#include <cstdlib>
#include <map>
#include <new>
#include <string>
#include <vector>

#include "tests/fuzz/oracle.hpp"

/// The first look at STEP files: what is accepted names entities once, refers to what is there, runs in no
/// circle and keeps the limits, as a second and slower reading finds too; memory stays in proportion to the
/// text, and time within the fuzzer's limit.
namespace {

/// The fuzzer has a thread of its own.
std::atomic<std::size_t> held = 0;
std::atomic<std::size_t> most_held = 0;

}  // namespace

void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
  void* memory = std::malloc(size);
  if (memory == nullptr) return nullptr;
  held += malloc_usable_size(memory);
  most_held = std::max(most_held.load(), held.load());
  return memory;
}
void* operator new(std::size_t size) {
  void* memory = operator new(size, std::nothrow);
  if (memory == nullptr) throw std::bad_alloc();
  return memory;
}
void operator delete(void* memory) noexcept {
  held -= malloc_usable_size(memory);
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept { operator delete(memory); }

namespace corefeed::fuzz {
namespace {

using worker::PrescanReport;

/// Lower than those of use, so that a short file can meet them.
constexpr worker::PrescanLimits limits{
    .bytes = 1U << 20, .entities = 500, .references = 2000, .instances = 1000, .nesting = 8, .chain = 100};

struct Entity {
  std::vector<std::string> refers;
  std::size_t chain = 0;  ///< 0: not yet known
  bool open = false;      ///< on the way that is followed now
};

/// The text with a blank for what stands between apostrophes, quotation marks and comment signs: these part
/// words.
std::string bare(std::string_view text) {
  std::string left;
  for (std::size_t i = 0; i < text.size();) {
    if (text.substr(i, 2) == "/*") {
      i = std::min(text.find("*/", i + 2), text.size() - 2) + 2;
      left += ' ';
    } else if (text[i] == '\'' || text[i] == '"') {
      i = std::min(text.find(text[i], i + 1), text.size() - 1) + 1;
      left += ' ';
    } else {
      left += text[i++];
    }
  }
  return left;
}

/// An instance's number without leading zeros.
std::string number_at(const std::string& text, std::size_t hash) {
  std::size_t end = hash + 1;
  while (end < text.size() && std::isdigit(static_cast<unsigned char>(text[end]))) ++end;
  std::string number = text.substr(hash + 1, end - hash - 1);
  number.erase(0, std::min(number.find_first_not_of('0'), number.size()));
  return number;
}

/// Whether a statement's first word is this one, not a longer one that begins like it.
bool begins_with_word(std::string_view statement, std::string_view word) {
  if (!statement.starts_with(word)) return false;
  const char next = statement.size() > word.size() ? statement[word.size()] : ' ';
  return !std::isalnum(static_cast<unsigned char>(next)) && next != '_' && next != '-';
}

/// A statement that begins with an instance's name is an entity; the names behind it are its references.
std::map<std::string, Entity> entities_of(std::string_view text) {
  std::map<std::string, Entity> entities;
  std::string statement;
  bool in_section = false;
  for (const char c : bare(text)) {
    if (c != ';') {
      if (!statement.empty() || !std::isspace(static_cast<unsigned char>(c))) statement += c;
      continue;
    }
    if (begins_with_word(statement, "ENDSEC")) in_section = false;
    // Signatures may follow the end.
    if (!in_section && begins_with_word(statement, "END-ISO-10303-21")) break;
    if (begins_with_word(statement, "HEADER") || begins_with_word(statement, "DATA")) in_section = true;
    if (statement.starts_with('#')) {
      const auto [entity, is_new] = entities.emplace(number_at(statement, 0), Entity());
      require(is_new, "an entity has a number of its own");
      for (std::size_t hash = statement.find('#', 1); hash != std::string::npos;
           hash = statement.find('#', hash + 1))
        entity->second.refers.push_back(number_at(statement, hash));
    }
    statement.clear();
  }
  return entities;
}

/// Entities on the longest way from this one. Bounded by the limit of the first look, so recursion is fine.
std::size_t chain_of(std::map<std::string, Entity>& entities, const std::string& number, std::size_t depth) {
  const auto found = entities.find(number);
  require(found != entities.end(), "a reference leads to an entity");
  Entity& entity = found->second;
  require(!entity.open, "references form no circle");
  require(depth <= limits.chain, "no chain is longer than the limit");
  if (entity.chain > 0) return entity.chain;
  entity.open = true;
  std::size_t longest = 0;
  for (const std::string& next : entity.refers)
    longest = std::max(longest, chain_of(entities, next, depth + 1));
  entity.open = false;
  return entity.chain = longest + 1;
}

void require_second_reading(std::string_view text, const PrescanReport& report) {
  // Sections of the third edition, in which names of instances mean something else.
  if (text.find("ANCHOR") != std::string_view::npos || text.find("REFERENCE") != std::string_view::npos)
    return;
  std::map<std::string, Entity> entities = entities_of(text);
  require(entities.size() == report.entities, "entities are counted right");
  std::size_t references = 0;
  std::size_t longest = 0;
  for (const auto& [number, entity] : entities) references += entity.refers.size();
  require(references == report.references, "references are counted right");
  for (const auto& [number, entity] : entities) longest = std::max(longest, chain_of(entities, number, 1));
  // What an assembly or a product contains counts as a reference of it, which the text does not show.
  const bool contains = text.find("NEXT_ASSEMBLY_USAGE_OCCURRENCE") != std::string_view::npos ||
                        text.find("SHAPE_DEFINITION_REPRESENTATION") != std::string_view::npos;
  require(contains ? longest <= report.chain : longest == report.chain, "the longest chain is found");
}

}  // namespace

void run(std::string_view bytes) {
  most_held = held.load();
  const std::size_t before = held;
  const Result<PrescanReport> looked = worker::prescan_step(bytes, limits);
  // Messages aside, some tens of bytes for an entity or reference, the shortest of which takes three.
  require(most_held - before <= 64 * bytes.size() + 65536, "memory stays in proportion to the text");
  if (!looked) return require_sound(looked.issues(), bytes);
  const PrescanReport& report = looked.value();
  require(report.entities > 0 && report.entities <= limits.entities, "entities keep the limit");
  require(report.references <= limits.references && report.instances <= limits.instances &&
              report.nesting <= limits.nesting && report.chain <= limits.chain,
          "what is accepted keeps the limits");
  require_second_reading(bytes, report);
}

}  // namespace corefeed::fuzz
