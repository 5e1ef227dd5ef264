# SPDX-License-Identifier: Apache-2.0
cmake_minimum_required(VERSION 3.22)

# Run when a part of the report's page has changed: its libraries come once, from npm, into MADE, never into the source.
file(COPY ${SOURCE}/ DESTINATION ${MADE} PATTERN node_modules EXCLUDE)
file(SHA256 ${SOURCE}/package-lock.json wanted)
set(stamp ${MADE}/node_modules/.lielow-lock)
set(there "")
if(EXISTS ${stamp})
    file(READ ${stamp} there)
endif()
if(NOT there STREQUAL wanted)
    execute_process(COMMAND ${NPM} ci --ignore-scripts --no-audit --no-fund --prefer-offline
        WORKING_DIRECTORY ${MADE} OUTPUT_FILE ${MADE}/npm.log ERROR_FILE ${MADE}/npm.log RESULT_VARIABLE failed)
    if(failed)
        message(FATAL_ERROR "npm can't fetch the libraries of the report's page; is its registry reachable? See ${MADE}/npm.log")
    endif()
    file(WRITE ${stamp} ${wanted})
endif()
execute_process(COMMAND ${NODE} build.mjs ${MADE} WORKING_DIRECTORY ${MADE} RESULT_VARIABLE failed)
if(failed)
    message(FATAL_ERROR "the report's page can't be bundled: see what node says above")
endif()
