// SPDX-License-Identifier: Apache-2.0
#include "corefeed/model/text_file.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/locale/utf.hpp>
#include <cctype>
#include <cerrno>
#include <system_error>
#include <utility>

namespace corefeed::model {
namespace {

using Utf8 = boost::locale::utf::utf_traits<char>;

/// A file descriptor that closes itself.
class OpenFile {
 public:
  explicit OpenFile(const std::string& path)
      // Without O_NONBLOCK, opening a pipe that nobody writes to would wait for ever.
      : descriptor_(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC | O_NOCTTY)) {}
  ~OpenFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
  }
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  int descriptor() const { return descriptor_; }

 private:
  int descriptor_;
};

Issue file_issue(std::string code, const std::string& path, std::string text) {
  Issue issue;
  issue.code = std::move(code);
  issue.place.file = path;
  issue.text = std::move(text);
  return issue;
}

Issue system_issue(const std::string& path, int error) {
  if (error == ENOENT || error == ENOTDIR) {
    return file_issue("missing_file", path, fmt::format("there is no file {}", corefeed::quoted(path)));
  }
  // Sockets and some devices cannot even be opened.
  if (error == ENXIO || error == ENODEV) {
    return file_issue("not_a_file", path, fmt::format("{} is no regular file", corefeed::quoted(path)));
  }
  return file_issue(
      "unreadable_file", path,
      fmt::format("{} cannot be read: {}", corefeed::quoted(path), std::generic_category().message(error)));
}

Issue size_issue(const std::string& path, std::size_t byte_limit) {
  return file_issue("file_too_large", path,
                    fmt::format("{} is larger than the limit of {:.6g} MB for a file of this kind",
                                corefeed::quoted(path), static_cast<double>(byte_limit) / 1e6));
}

std::string_view kind_name(mode_t mode) {
  if (S_ISDIR(mode)) return "a folder";
  if (S_ISFIFO(mode)) return "a pipe";
  return "a device";
}

Result<std::string> read_open_file(const OpenFile& file, const std::string& path, std::size_t byte_limit) {
  struct stat status {};
  if (::fstat(file.descriptor(), &status) != 0) return system_issue(path, errno);
  if (!S_ISREG(status.st_mode)) {
    return file_issue(
        "not_a_file", path,
        fmt::format("{} is {}; expected a regular file", corefeed::quoted(path), kind_name(status.st_mode)));
  }
  const auto size = static_cast<std::size_t>(std::max<off_t>(status.st_size, 0));
  if (size > byte_limit) return size_issue(path, byte_limit);
  // One byte more than expected, so that the last read finds the end without growing the text.
  std::string text(size + 1, '\0');
  std::size_t filled = 0;
  while (true) {
    const ssize_t count = ::read(file.descriptor(), text.data() + filled, text.size() - filled);
    if (count < 0 && errno == EINTR) continue;
    if (count < 0) return system_issue(path, errno);
    if (count == 0) break;
    filled += static_cast<std::size_t>(count);
    if (filled > byte_limit) return size_issue(path, byte_limit);
    if (filled == text.size()) text.resize(2 * text.size());
  }
  text.resize(filled);
  return text;
}

bool begins_like_utf16(std::string_view bytes) {
  if (bytes.starts_with("\xFF\xFE") || bytes.starts_with("\xFE\xFF")) return true;
  if (bytes.size() < 4) return false;
  const auto zero = [&](std::size_t i) { return bytes[i] == '\0'; };
  return (!zero(0) && zero(1) && !zero(2) && zero(3)) || (zero(0) && !zero(1) && zero(2) && !zero(3));
}

}  // namespace

Result<std::string> read_text_file(const std::string& path, std::size_t byte_limit) {
  if (path.find('\0') != std::string::npos) {
    return file_issue(
        "missing_file", path,
        fmt::format("the file name {} holds a zero byte, which no file name can", corefeed::quoted(path)));
  }
  const OpenFile file(path);
  if (file.descriptor() < 0) return system_issue(path, errno);
  return read_open_file(file, path, byte_limit);
}

std::string looks_like(std::string_view bytes) {
  using std::string_view_literals::operator""sv;
  struct Mark {
    std::string_view bytes;
    std::string_view name;
  };
  // First bytes as in the specifications of the formats.
  static constexpr std::array marks{
      Mark{"PK\x03\x04"sv, "a zip archive, such as a spreadsheet or a CAD document"},
      Mark{"\xD0\xCF\x11\xE0"sv, "an old binary office document"},
      Mark{"\x1F\x8B"sv, "a gzip archive"},
      Mark{"%PDF-"sv, "a PDF document"},
      Mark{"\x89PNG"sv, "a PNG picture"},
      Mark{"\x7F"
           "ELF"sv,
           "a program"},
      Mark{"ISO-10303-21"sv, "a STEP file"}};
  if (bytes.starts_with("\xFF\xFE\0\0"sv) || bytes.starts_with("\0\0\xFE\xFF"sv)) return "UTF-32 text";
  if (begins_like_utf16(bytes)) return "UTF-16 text";
  for (const Mark& mark : marks) {
    if (bytes.starts_with(mark.bytes)) return std::string(mark.name);
  }
  const std::string_view text = without_byte_order_mark(bytes);
  const std::size_t first = text.find_first_not_of(" \t\r\n");
  if (first != std::string_view::npos && text[first] == '<') return "an HTML or XML page";
  return {};
}

std::string_view without_byte_order_mark(std::string_view text) {
  if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
  return text;
}

TextPosition text_position(std::string_view text, std::size_t offset) {
  const std::string_view before = text.substr(0, std::min(offset, text.size()));
  const std::size_t last_break = before.rfind('\n');
  const std::string_view line = last_break == std::string_view::npos ? before : before.substr(last_break + 1);
  const auto continues = [](char c) { return Utf8::is_trail(c); };
  const auto characters = std::count_if(line.begin(), line.end(), [&](char c) { return !continues(c); });
  return {static_cast<int>(std::count(before.begin(), before.end(), '\n')) + 1,
          static_cast<int>(characters) + 1};
}

std::size_t utf8_length(std::string_view text, std::size_t offset) {
  if (offset >= text.size()) return 0;
  const char* const begin = text.data() + offset;
  const char* at = begin;
  const auto point = Utf8::decode(at, text.data() + text.size());
  if (point == boost::locale::utf::illegal || point == boost::locale::utf::incomplete) return 0;
  return static_cast<std::size_t>(at - begin);
}

std::size_t first_invalid_utf8(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    if (static_cast<unsigned char>(text[at]) < 0x80) {
      ++at;
      continue;
    }
    const std::size_t length = utf8_length(text, at);
    if (length == 0) return at;
    at += length;
  }
  return std::string_view::npos;
}

std::string byte_name(char byte) { return fmt::format("0x{:02X}", static_cast<unsigned char>(byte)); }

}  // namespace corefeed::model
