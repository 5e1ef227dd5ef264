# SPDX-License-Identifier: Apache-2.0
# lielow_report_bundle(TARGET): makes the report's page with npm, as tools/report/package-lock.json has it, and puts it
# into TARGET by the assembler's .incbin.
function(lielow_report_bundle target)
    find_program(LIELOW_NODE node)
    find_program(LIELOW_NPM npm)
    if(NOT LIELOW_NODE OR NOT LIELOW_NPM)
        message(FATAL_ERROR "the report's page is made with node and npm, which are missing: run tools/install-packages build")
    endif()
    set(source ${CMAKE_CURRENT_SOURCE_DIR}/report)
    set(made ${CMAKE_CURRENT_BINARY_DIR}/report)
    list(TRANSFORM ARGN PREPEND ${source}/ OUTPUT_VARIABLE parts)
    set(outputs ${made}/report.js ${made}/report.css ${made}/licences.txt)
    set(script ${CMAKE_CURRENT_SOURCE_DIR}/cmake/make_report.cmake)
    add_custom_command(OUTPUT ${outputs}
        COMMAND ${CMAKE_COMMAND} -DNODE=${LIELOW_NODE} -DNPM=${LIELOW_NPM} -DSOURCE=${source} -DMADE=${made} -P ${script}
        DEPENDS ${parts} ${script} COMMENT "Making the report's page (npm)" VERBATIM)
    set(assembly "    .section .rodata\n")
    foreach(pair IN ITEMS page:${source}/page.html style:${made}/report.css script:${made}/report.js
                          licences:${made}/licences.txt)
        string(REGEX MATCH "^([a-z]+):(.*)$" matched ${pair})
        set(label lielow_report_${CMAKE_MATCH_1})
        string(APPEND assembly "    .global ${label}\n    .global ${label}_end\n"
            "${label}:\n    .incbin \"${CMAKE_MATCH_2}\"\n${label}_end:\n    .byte 0\n")
    endforeach()
    string(APPEND assembly "    .section .note.GNU-stack,\"\",%progbits\n")
    file(CONFIGURE OUTPUT ${CMAKE_CURRENT_BINARY_DIR}/report_bundle.S @ONLY CONTENT "${assembly}")
    set_source_files_properties(${CMAKE_CURRENT_BINARY_DIR}/report_bundle.S PROPERTIES
        OBJECT_DEPENDS "${source}/page.html;${outputs}")
    target_sources(${target} PRIVATE ${CMAKE_CURRENT_BINARY_DIR}/report_bundle.S)
endfunction()
