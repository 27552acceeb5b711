// SPDX-License-Identifier: Apache-2.0
#include <dlfcn.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <system_error>
#include <vector>

#include "cad_bridge/worker/worker.hpp"

namespace corefeed::worker {
namespace {

namespace fs = std::filesystem;

bool can_run(const fs::path& program) {
  struct stat facts {};
  return stat(program.c_str(), &facts) == 0 && S_ISREG(facts.st_mode) && access(program.c_str(), X_OK) == 0;
}

Issue no_worker(std::string text) {
  return {"no_worker", Severity::error, Status::usage, {}, std::move(text)};
}

/// Folders of the running program and, when this code sits in a library (a Python module), of that library.
std::vector<std::string> own_folders() {
  std::vector<std::string> folders;
  std::error_code error;
  const fs::path program = fs::read_symlink("/proc/self/exe", error);
  if (!error) folders.push_back(program.parent_path().string());
  Dl_info library{};
  if (dladdr(reinterpret_cast<const void*>(&own_folders), &library) != 0 && library.dli_fname != nullptr &&
      library.dli_fname[0] == '/')
    folders.push_back(fs::path(library.dli_fname).parent_path().string());
  return folders;
}

}  // namespace

Result<std::string> find_worker() { return find_worker(own_folders()); }

Result<std::string> find_worker(const std::vector<std::string>& folders) {
  if (const char* told = std::getenv("COREFEED_WORKER"); told != nullptr && *told != '\0') {
    if (can_run(told)) return std::string(told);
    return no_worker(
        fmt::format("COREFEED_WORKER names {}, which is no program that can be run", quoted(told)));
  }
  for (const fs::path folder : folders) {
    if (can_run(folder / "corefeed-worker")) return (folder / "corefeed-worker").lexically_normal().string();
    // A Python module stands deep below the prefix that it is installed into.
    for (fs::path above = folder.lexically_normal(); above.has_relative_path();) {
      above = above.parent_path();
      for (const char* place : {"libexec/corefeed/corefeed-worker", "bin/corefeed-worker"})
        if (can_run(above / place)) return (above / place).string();
    }
  }
  return no_worker(
      "this corefeed was built or installed without the part that reads geometry (corefeed-worker); install "
      "it, or "
      "name it in the environment variable COREFEED_WORKER");
}

}  // namespace corefeed::worker
