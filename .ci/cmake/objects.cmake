set(ampturn_object_flags -std=c++20 -I${CMAKE_SOURCE_DIR} -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Werror -ffp-contract=off
                 -Wno-missing-field-initializers)

# ampturn_objects(OUT_VARIABLE FOLDER COMPILER FLAGS... SOURCES...): one object a source, built by
# another compiler or with other flags than the rest, in build/<preset>/firmware/FOLDER.
function(ampturn_objects out folder compiler)
    cmake_parse_arguments(arg "" "" "FLAGS;SOURCES" ${ARGN})
    # ccache does not keep the call graph beside the object, so objects measured by it are always compiled.
    set(launcher ${CMAKE_CXX_COMPILER_LAUNCHER})
    if("-fcallgraph-info=su" IN_LIST arg_FLAGS)
        set(launcher)
    endif()
    set(result)
    foreach(source ${arg_SOURCES})
        cmake_path(GET source STEM LAST_ONLY name)
        set(object ${CMAKE_BINARY_DIR}/firmware/${folder}/${name}.o)
        add_custom_command(OUTPUT ${object} DEPENDS ${source} DEPFILE ${object}.d
                           COMMAND ${CMAKE_COMMAND} -E make_directory ${CMAKE_BINARY_DIR}/firmware/${folder}
                           COMMAND ${launcher} ${compiler} ${ampturn_object_flags} ${arg_FLAGS} -MD -MF ${object}.d
                                   -MT ${object} -c ${source} -o ${object}
                           COMMENT "Compiling ${name} for ${folder}" VERBATIM)
        list(APPEND result ${object})
    endforeach()
    set(${out} ${result} PARENT_SCOPE)
endfunction()

# ampturn_fuzzer(NAME SEED SECONDS CORPUS folder SOURCES...): a libFuzzer program under the address and undefined-behaviour
# sanitizers, built by clang as a target of its own, and a test that runs it for a bounded time from a small corpus; new
# finds stay in the build folder.
find_program(CLANG_CXX NAMES clang++ clang++-14)
function(ampturn_fuzzer name)
    cmake_parse_arguments(arg "" "SEED;SECONDS;CORPUS;DICTIONARY" "SOURCES;LINK" ${ARGN})
    if(NOT CLANG_CXX)
        message(STATUS "${name} is left out: clang++ missing")
        return()
    endif()
    set(flags -O1 -g1 -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all -DFMT_SHARED)
    ampturn_objects(fuzz_objects ${name} ${CLANG_CXX} FLAGS ${flags} SOURCES ${arg_SOURCES})
    set(folder ${CMAKE_BINARY_DIR}/firmware/${name})
    set(program ${folder}/${name})
    add_custom_command(OUTPUT ${program} DEPENDS ${fuzz_objects}
                       COMMAND ${CLANG_CXX} ${flags} ${fuzz_objects} ${arg_LINK} -o ${program}
                       COMMENT "Linking ${name}" VERBATIM)
    add_custom_target(${name} ALL DEPENDS ${program})
    file(MAKE_DIRECTORY ${folder}/finds)
    file(GLOB seeds CONFIGURE_DEPENDS ${arg_CORPUS}/*)
    if(arg_CORPUS AND NOT seeds)
        message(FATAL_ERROR "${name}: nothing to start from in ${arg_CORPUS}")
    endif()
    set(dictionary)
    if(arg_DICTIONARY)
        set(dictionary -dict=${arg_DICTIONARY})
    endif()
    add_test(NAME ${name} COMMAND ${program} -seed=${arg_SEED} -max_total_time=${arg_SECONDS} -max_len=4096 -timeout=10
                                  -rss_limit_mb=1024 -print_final_stats=1 -artifact_prefix=${folder}/ ${dictionary}
                                  ${folder}/finds ${arg_CORPUS})
    set_tests_properties(${name} PROPERTIES LABELS fuzz TIMEOUT 600)
endfunction()
