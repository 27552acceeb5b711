// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "corefeed/model/document.hpp"
#include "corefeed/model/sha1.hpp"
#include "corefeed/reports/sweep_rows.hpp"
#include "corefeed/result.hpp"

/// Files of rows that grow while a sweep runs. FILE comes into being at the end: rows are appended to
/// FILE.part beside it, which is then renamed. The facts of the sweep stand in the first line (JSON lines) or
/// beside the rows in FILE.sweep.json, FILE.part.sweep.json until the end (CSV), there with size and SHA-1 of
/// the rows.
namespace corefeed::command {

/// What a file of rows is to hold.
struct RowsWanted {
  reports::RowFormat format = reports::RowFormat::csv;
  model::Value facts;
  std::string header;         ///< the line before the rows
  std::size_t first_row = 1;  ///< number of its first row
  std::size_t rows = 0;
  std::size_t block_rows = 1;    ///< a sweep goes on behind a whole number of blocks
  std::string suffix = ".part";  ///< of the file until it is complete
};

/// What becomes of a FILE.part that is there.
enum class Leftover { refuse, go_on, replace };

class SweepFile {
 public:
  /// Opens FILE.part, new or, to go on, where the last unbroken block ends; what stands behind is cut off. A
  /// path that is no regular file (a pipe, a device) and standard output ("") are
  /// written as they are. Errors: part_exists, cannot_resume (what differs is named), is_being_written
  /// (status usage); cannot_write (status output).
  static Result<SweepFile> open(const std::string& path, const RowsWanted& wanted, Leftover leftover);
  ~SweepFile();
  SweepFile(SweepFile&& other) noexcept;

  std::size_t rows() const { return rows_; }      ///< that it holds
  std::size_t solved() const { return solved_; }  ///< of them
  bool is_complete() const { return complete_; }  ///< an earlier run has finished it
  bool can_resume() const { return !part_.empty(); }

  /// Whole lines. After an error the file ends behind the last lines that were taken whole.
  std::vector<Issue> append(std::string_view lines, std::size_t rows, std::size_t solved);
  /// Puts the file in its place. Until then, and after an error, an older one stands as it was.
  std::vector<Issue> finish();
  /// Takes away what has been begun.
  void discard();

 private:
  explicit SweepFile(const RowsWanted& wanted) : format_(wanted.format), facts_(wanted.facts) {}
  std::vector<Issue> open_part(const RowsWanted& wanted, Leftover leftover);
  std::vector<Issue> begin(const RowsWanted& wanted);
  std::vector<Issue> go_on(const RowsWanted& wanted);
  bool finished_before(const RowsWanted& wanted);
  Issue cannot_write(int reason) const;
  void close();

  reports::RowFormat format_;
  model::Value facts_;
  std::string target_, part_;  ///< empty where the rows are written as they are
  std::string shown_;          ///< the path for messages
  int file_ = -1;
  bool owned_ = false;
  bool complete_ = false;
  std::size_t rows_ = 0, solved_ = 0;
  std::uint64_t bytes_ = 0;
  model::Sha1 hash_;
};

/// An error of one file of rows.
Issue file_issue(const std::string& path, std::string code, std::string text);

/// Where the facts of a CSV file of rows stand.
std::string facts_path(const std::string& rows_path);

/// The facts of a file of rows. Errors (status input): missing_file, no_facts.
Result<model::Value> read_facts(const std::string& path, reports::RowFormat format);

/// What is not the same in two facts of one sweep, in words: the version, the model, an option. The slice is
/// looked at where `and_slice` says so.
std::vector<std::string> differences(const model::Value& one, const model::Value& other, bool and_slice);

}  // namespace corefeed::command
