// SPDX-License-Identifier: Apache-2.0
#include "tools/command.hpp"

namespace lielow {

std::span<const CommandEntry> command_table() {
    static const std::vector<CommandEntry> table{
        {"run", "everything for one site: the main job", make_run_command},
        {"batch", "many sites from one list; a second call does only what is missing", make_batch_command},
        {"tune", "fits numbers of the night to the readings of loggers", make_tune_command},
        {"check", "reads and judges every input, runs nothing", make_check_command},
        {"compare", "what the site file's remedies would change, field by field and below them",
         make_compare_command},
        {"example", "writes the demo site, to copy from", make_example_command},
        {"wide", "hollows, upslope area and frost night of elevations larger than memory", make_wide_command},
        {"bench", "how fast this machine is, against its own limits", make_bench_command},
    };
    return table;
}

}  // namespace lielow
