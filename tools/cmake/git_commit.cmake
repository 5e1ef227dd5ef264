# SPDX-License-Identifier: Apache-2.0
cmake_minimum_required(VERSION 3.22)

# Run at every build: writes OUT with the commit of SOURCE, only when it has changed. A source tree that came without
# git, or lies inside somebody else's repository, has no commit.
execute_process(COMMAND git rev-parse --show-toplevel WORKING_DIRECTORY ${SOURCE}
    OUTPUT_VARIABLE top OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET RESULT_VARIABLE failed)
set(commit "")
file(REAL_PATH "${SOURCE}" source)
if(NOT failed AND top STREQUAL source)
    execute_process(COMMAND git describe --always --abbrev=7 --exclude=* --dirty=+ WORKING_DIRECTORY ${SOURCE}
        OUTPUT_VARIABLE commit OUTPUT_STRIP_TRAILING_WHITESPACE ERROR_QUIET)
endif()
file(CONFIGURE OUTPUT ${OUT} @ONLY CONTENT "#define LIELOW_GIT_COMMIT \"@commit@\"\n")
