// SPDX-License-Identifier: Apache-2.0
#include "cad_bridge/command/sweep_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <filesystem>
#include <system_error>
#include <utility>

#include "cad_bridge/command/line_reader.hpp"
#include "cad_bridge/command/unbroken_rows.hpp"
#include "corefeed/reports/atomic_file.hpp"

namespace corefeed::command {
namespace {

namespace fs = std::filesystem;
using reports::RowFormat;

Issue usage(std::string code, const std::string& path, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.status = Status::usage;
  issue.place.file = path;
  issue.text = std::move(text);
  return issue;
}

int write_all(int file, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(file, text.data(), text.size());
    if (written < 0 && errno == EINTR) continue;
    if (written <= 0) return written < 0 ? errno : EIO;
    text.remove_prefix(static_cast<std::size_t>(written));
  }
  return 0;
}

/// The file that a chain of links names, also when nothing stands there yet.
std::string behind_links(const std::string& path) {
  constexpr int most_links = 40;
  fs::path followed(path);
  std::error_code error;
  for (int link = 0; link < most_links && fs::is_symlink(followed, error); ++link) {
    const fs::path target = fs::read_symlink(followed, error);
    if (error) break;
    followed = target.is_absolute() ? target : followed.parent_path() / target;
  }
  return followed.string();
}

/// The facts with what is known at the end. A run that was broken off in its last steps has left that
/// already.
model::Value ended(model::Value facts, std::size_t solved, std::uint64_t bytes, const std::string& sha1) {
  model::set_value(facts, "/solved", model::make_number(static_cast<double>(solved)));
  model::set_value(facts, "/bytes", model::make_number(static_cast<double>(bytes)));
  model::set_value(facts, "/sha1", model::make_text(sha1));
  return facts;
}

}  // namespace

SweepFile::SweepFile(SweepFile&& other) noexcept
    : format_(other.format_),
      facts_(std::move(other.facts_)),
      target_(std::move(other.target_)),
      part_(std::exchange(other.part_, {})),
      shown_(std::move(other.shown_)),
      file_(std::exchange(other.file_, -1)),
      owned_(other.owned_),
      complete_(other.complete_),
      rows_(other.rows_),
      solved_(other.solved_),
      bytes_(other.bytes_),
      hash_(std::move(other.hash_)) {}

SweepFile::~SweepFile() { close(); }

void SweepFile::close() {
  if (owned_ && file_ >= 0) ::close(file_);
  file_ = -1;
}

Issue SweepFile::cannot_write(int reason) const {
  Issue issue;
  issue.code = "cannot_write";
  issue.status = Status::output;
  issue.place.file = shown_;
  issue.text = fmt::format("the file cannot be written: {}", std::generic_category().message(reason));
  return issue;
}

Result<SweepFile> SweepFile::open(const std::string& path, const RowsWanted& wanted, Leftover leftover) {
  SweepFile made(wanted);
  made.shown_ = path.empty() ? "standard output" : path;
  struct stat there {};
  const bool exists = !path.empty() && ::stat(path.c_str(), &there) == 0;
  if (exists && S_ISDIR(there.st_mode)) return made.cannot_write(EISDIR);
  // Renaming would replace a file that its owner has protected from writing.
  if (exists && ::faccessat(AT_FDCWD, path.c_str(), W_OK, AT_EACCESS) != 0) return made.cannot_write(errno);
  const bool plain = path.empty() || (exists && !S_ISREG(there.st_mode));
  std::vector<Issue> issues;
  if (plain && leftover == Leftover::go_on) {
    issues.push_back(usage("cannot_resume", made.shown_, "what was written here before cannot be looked at"));
  } else if (plain) {
    made.owned_ = !path.empty();
    made.file_ = path.empty() ? STDOUT_FILENO : ::open(path.c_str(), O_WRONLY | O_CLOEXEC | O_NOCTTY);
    issues = made.file_ < 0 ? std::vector{made.cannot_write(errno)} : made.append(wanted.header, 0, 0);
  } else {
    made.target_ = behind_links(path);
    made.part_ = made.target_ + wanted.suffix;
    issues = made.open_part(wanted, leftover);
  }
  if (!issues.empty()) return issues;
  return made;
}

std::vector<Issue> SweepFile::open_part(const RowsWanted& wanted, Leftover leftover) {
  const bool exists = ::access(part_.c_str(), F_OK) == 0;
  if (exists && leftover == Leftover::refuse) {
    return {
        usage("part_exists", part_,
              "an earlier run has left these rows; go on with them by --resume, or delete the file to begin "
              "anew")};
  }
  if (!exists && leftover == Leftover::go_on && finished_before(wanted)) return {};
  owned_ = true;
  file_ = ::open(part_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0666);
  if (file_ < 0) return {cannot_write(errno)};
  if (::flock(file_, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK)
    return {usage("is_being_written", part_, "another run is writing these rows; wait for it, or end it")};
  return exists && leftover == Leftover::go_on ? go_on(wanted) : begin(wanted);
}

std::vector<Issue> SweepFile::begin(const RowsWanted& wanted) {
  if (::ftruncate(file_, 0) != 0 || ::lseek(file_, 0, SEEK_SET) != 0) return {cannot_write(errno)};
  if (format_ == RowFormat::csv) {
    std::vector<Issue> issues = reports::write_file(facts_path(part_), reports::facts_line(facts_));
    if (!issues.empty()) return issues;
  }
  return append(wanted.header, 0, 0);
}

std::vector<Issue> SweepFile::go_on(const RowsWanted& wanted) {
  struct stat there {};
  if (::fstat(file_, &there) != 0) return {cannot_write(errno)};
  // Killed before the first line stood: nothing is lost.
  const Result<model::Value> facts = read_facts(part_, format_);
  if (there.st_size == 0 || (!facts && LineReader(part_).next()->back() != '\n')) return begin(wanted);
  if (!facts)
    return {usage("cannot_resume", part_, facts.issues().front().text + "; delete it to begin anew")};
  const std::vector<std::string> differ = differences(facts.value(), facts_, true);
  if (!differ.empty()) {
    return {usage("cannot_resume", part_,
                  fmt::format("these rows belong to another sweep: {} differs; delete the file to begin anew",
                              fmt::join(differ, ", ")))};
  }
  RowsWanted same = wanted;
  // The path of the model may be written in another way.
  if (format_ == RowFormat::json_lines) same.header = reports::facts_line(facts.value());
  facts_ = facts.value();
  Unbroken found = unbroken_rows(part_, same);
  if (!found.has_header) return begin(wanted);
  if (::ftruncate(file_, static_cast<off_t>(found.bytes)) != 0 || ::lseek(file_, 0, SEEK_END) < 0)
    return {cannot_write(errno)};
  rows_ = found.rows;
  solved_ = found.solved;
  bytes_ = found.bytes;
  hash_ = std::move(found.hash);
  return {};
}

/// Whether the target holds all the rows already. A run that was killed between its last two steps has left
/// the facts at the name of the part.
bool SweepFile::finished_before(const RowsWanted& wanted) {
  if (::access(target_.c_str(), F_OK) != 0) return false;
  const bool csv = format_ == RowFormat::csv;
  for (const std::string& name : csv ? std::vector{part_, target_} : std::vector{target_}) {
    const Result<model::Value> facts = read_facts(name, format_);
    if (!facts || !differences(facts.value(), facts_, true).empty()) continue;
    RowsWanted same = wanted;
    if (!csv) same.header = reports::facts_line(facts.value());
    const Unbroken found = unbroken_rows(target_, same);
    if (!found.has_header || found.rows != wanted.rows || found.goes_on) continue;
    const model::Value* sha1 = facts.value().find("sha1");
    if (csv && (sha1 == nullptr || sha1->text != found.hash.hex())) continue;
    if (csv && name == part_) ::rename(facts_path(part_).c_str(), facts_path(target_).c_str());
    rows_ = found.rows;
    solved_ = found.solved;
    complete_ = true;
    return true;
  }
  return false;
}

std::vector<Issue> SweepFile::append(std::string_view lines, std::size_t rows, std::size_t solved) {
  if (const int reason = write_all(file_, lines)) {
    // A torn line would be cut off later in any case; this leaves the file fit to look at.
    if (can_resume() && ::ftruncate(file_, static_cast<off_t>(bytes_)) != 0) return {cannot_write(errno)};
    Issue issue = cannot_write(reason);
    if (can_resume() && rows > 0)
      issue.text += fmt::format("; {} holds {} rows, go on with them by --resume", part_, rows_);
    return {issue};
  }
  rows_ += rows;
  solved_ += solved;
  bytes_ += lines.size();
  if (can_resume()) hash_.add(lines);
  return {};
}

std::vector<Issue> SweepFile::finish() {
  if (!can_resume() || complete_) return {};
  struct stat old {};
  const bool replaces = ::stat(target_.c_str(), &old) == 0;
  if (replaces && ::fchmod(file_, old.st_mode & 07777) != 0) return {cannot_write(errno)};
  if (::fsync(file_) != 0 && errno != EINVAL && errno != EROFS) return {cannot_write(errno)};
  const bool csv = format_ == RowFormat::csv;
  if (csv) {
    std::vector<Issue> issues = reports::write_file(
        facts_path(part_), reports::facts_line(ended(facts_, solved_, bytes_, hash_.hex())));
    if (!issues.empty()) return issues;
  }
  if (::rename(part_.c_str(), target_.c_str()) != 0) return {cannot_write(errno)};
  if (csv && ::rename(facts_path(part_).c_str(), facts_path(target_).c_str()) != 0)
    return {cannot_write(errno)};
  close();
  return {};
}

void SweepFile::discard() {
  if (!can_resume() || complete_) return;
  ::unlink(part_.c_str());
  if (format_ == RowFormat::csv) ::unlink(facts_path(part_).c_str());
  close();
}

}  // namespace corefeed::command
