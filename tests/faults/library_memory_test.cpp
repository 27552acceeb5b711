// SPDX-License-Identifier: Apache-2.0
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <new>
#include <string>

#include "corefeed/model/model.hpp"
#include "corefeed/reports/json.hpp"
#include "corefeed/reports/junit.hpp"
#include "corefeed/reports/sarif.hpp"
#include "corefeed/reports/text.hpp"
#include "corefeed/studies/outlook.hpp"
#include "corefeed/studies/study.hpp"

/// The library inside a program that goes on: a host that runs out of memory gets std::bad_alloc, loses no
/// memory by it, and the next call answers as if nothing had been. Some 30 requests spread over the whole
/// call fail, one after the other; with COREFEED_EVERY_FAULT set in the environment, every one.
namespace {

/// This program's `new`: counts, and fails where it is told to.
struct Memory {
  bool counting = false;
  long requests = 0;
  long fail_at = 0;
  long live = 0;  ///< blocks that were not given back
};
Memory memory;

void* get(std::size_t size, std::size_t alignment) {
  if (memory.counting && ++memory.requests == memory.fail_at) throw std::bad_alloc();
  void* const block = alignment == 0
                          ? std::malloc(size > 0 ? size : 1)
                          : std::aligned_alloc(alignment, (size + alignment - 1) / alignment * alignment);
  if (block == nullptr) throw std::bad_alloc();
  ++memory.live;
  return block;
}

void give_back(void* block) {
  if (block == nullptr) return;
  --memory.live;
  std::free(block);
}

}  // namespace

void* operator new(std::size_t size) { return get(size, 0); }
void* operator new(std::size_t size, std::align_val_t alignment) {
  return get(size, static_cast<std::size_t>(alignment));
}
void* operator new(std::size_t size, const std::nothrow_t&) noexcept {
  try {
    return get(size, 0);
  } catch (const std::bad_alloc&) {
    return nullptr;
  }
}
void operator delete(void* block) noexcept { give_back(block); }
void operator delete(void* block, std::size_t) noexcept { give_back(block); }
void operator delete(void* block, std::align_val_t) noexcept { give_back(block); }
void operator delete(void* block, std::size_t, std::align_val_t) noexcept { give_back(block); }

namespace corefeed {
namespace {

/// Everything that a check of the model asks the library for, as one text.
std::string answer(const std::string& text) {
  const Result<model::Model> model =
      model::parse_model(text, "model.json", COREFEED_SOURCE_DIR "/geometry_samples");
  if (!model) return describe(model.issues().front());
  const studies::StudyOptions options;
  const Result<studies::Study> study = studies::run_study(model.value(), options);
  if (!study) return describe(study.issues().front());
  const studies::Outlook outlook = studies::look_ahead(model.value(), study.value(), options);
  return reports::check_text(model.value(), study.value(), outlook) +
         reports::study_json(model.value(), study.value(), options, &outlook) +
         reports::junit(model.value(), study.value(), options) +
         reports::sarif(model.value(), study.value(), options);
}

class LibraryMemory : public ::testing::TestWithParam<const char*> {};

TEST_P(LibraryMemory, ARequestThatFailsLosesNothing) {
  std::ifstream file(std::string(COREFEED_SOURCE_DIR "/") + GetParam());
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  const std::string right = answer(text);  // and the tables that live to the end are made
  ASSERT_GT(right.size(), 1000u) << right;
  memory = {.counting = true, .requests = 0, .fail_at = 0, .live = memory.live};
  EXPECT_EQ(answer(text), right);
  memory.counting = false;
  const long stride =
      std::getenv("COREFEED_EVERY_FAULT") != nullptr ? 1 : std::max(97L, memory.requests / 30);
  long runs = 0;
  for (long at = 1;; at += stride) {
    const long before = memory.live;
    bool same = true;
    memory.requests = 0;
    memory.fail_at = at;
    memory.counting = true;
    try {
      same = answer(text) == right;
    } catch (const std::bad_alloc&) {
      // What a host has to expect.
    }
    memory.counting = false;
    EXPECT_EQ(memory.live, before) << "request " << at;
    EXPECT_TRUE(same) << "request " << at;
    if (memory.requests < at) break;
    ++runs;
  }
  RecordProperty("runs", static_cast<int>(runs));
  EXPECT_GT(runs, 20);
  EXPECT_EQ(answer(text), right);
}

INSTANTIATE_TEST_SUITE_P(Models, LibraryMemory,
                         ::testing::Values("tests/data/golden-model.json",
                                           "geometry_samples/oil_loop.corefeed"),
                         [](const auto& model) { return model.index == 0 ? "Golden" : "OilLoop"; });

}  // namespace
}  // namespace corefeed
