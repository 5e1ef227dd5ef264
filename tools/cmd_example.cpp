// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include <filesystem>
#include <fstream>

#include "io/staging.hpp"
#include "sim/errors.hpp"
#include "tools/command.hpp"
#include "tools/example_files.hpp"

namespace lielow {
namespace {

namespace fs = std::filesystem;

void write_file(const fs::path& path, std::string_view bytes) {
    std::ofstream stream(path, std::ios::binary);
    stream.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    stream.close();
    if (!stream)
        throw RunError(fmt::format("{} can't be written; is the disk full?", path.filename().string()));
}

class ExampleCommand final : public Command {
  public:
    void declare(Options& options) override {
        options.argument("DIR", "folder to write the demo site into", folder_);
    }

    void run(Progress&) override {
        const fs::path folder = folder_;
        const auto files = example_files();
        for (const ExampleFile& file : files) {
            if (fs::exists(folder / file.name))
                throw InputError(
                    fmt::format("{} is already there; name another folder", (folder / file.name).string()));
        }
        Staging staging(folder);
        for (const ExampleFile& file : files) write_file(staging.path(file.name), file.bytes);
        staging.commit();
        fmt::print("The demo site is in {}. Next: lielow run {}\n", folder.string(),
                   (folder / "site.toml").string());
    }

  private:
    std::string folder_;
};

}  // namespace

std::unique_ptr<Command> make_example_command() {
    return std::make_unique<ExampleCommand>();
}

}  // namespace lielow
