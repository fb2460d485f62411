# Sources of a room or of a folder of tests that can go together are compiled together: a compiler spends most of its time in
# headers. Who changes code compiles file by file: a change is then built sooner.
option(AMPTURN_TOGETHER "compile the sources of a room together" ON)
if(AMPTURN_TOGETHER)
    if(CMAKE_CXX_COMPILER_ID STREQUAL GNU)
        add_compile_options(-Wno-subobject-linkage)  # meant for headers; a source that is included looks like one
    endif()
    execute_process(COMMAND python3 ${CMAKE_SOURCE_DIR}/.ci/source_batches.py OUTPUT_FILE ${CMAKE_BINARY_DIR}/batches.cmake
                    COMMAND_ERROR_IS_FATAL ANY)
    include(${CMAKE_BINARY_DIR}/batches.cmake)
endif()

# Of what reads and writes what others compute: to optimise more takes the compiler longer there than it saves.
set(ampturn_words_options -Og)
if(EMSCRIPTEN)
    set(ampturn_words_options -O1)  # its compiler knows no -Og
endif()

# ampturn_together(OUT_VARIABLE FOLDER SOURCES...): the sources of a folder, those that go together as one generated file.
function(ampturn_together out folder)
    set(sources ${ARGN})
    set(result)
    if(DEFINED AMPTURN_BATCHES_${folder})
        math(EXPR last "${AMPTURN_BATCHES_${folder}} - 1")
        foreach(number RANGE ${last})
            set(includes "")
            foreach(name IN LISTS AMPTURN_BATCH_${folder}_${number})
                string(APPEND includes "#include \"${folder}/${name}\"\n")
                list(REMOVE_ITEM sources ${CMAKE_SOURCE_DIR}/${folder}/${name})
            endforeach()
            file(CONFIGURE OUTPUT ${CMAKE_CURRENT_BINARY_DIR}/together_${number}.cpp CONTENT "${includes}")
            if(number IN_LIST AMPTURN_WORDS_${folder} AND NOT AMPTURN_SANITIZE)
                set_source_files_properties(${CMAKE_CURRENT_BINARY_DIR}/together_${number}.cpp PROPERTIES COMPILE_OPTIONS
                                            "${ampturn_words_options}")
            endif()
            list(APPEND result ${CMAKE_CURRENT_BINARY_DIR}/together_${number}.cpp)
        endforeach()
    endif()
    set(${out} ${result} ${sources} PARENT_SCOPE)
endfunction()

# ampturn_room([WORDS] [USES room...] [LINK library...]): the folder it is called in becomes one library, named after the folder
# (scheduler/day: scheduler_day), made of its *.cpp but main.cpp, which may include from the rooms it names and from no
# others: tests/rooms_test.py reads every #include against USES. LINK names libraries from outside the project. WORDS: the whole room
# reads and writes what others compute.
function(ampturn_room)
    cmake_parse_arguments(arg "WORDS" "" "USES;LINK" ${ARGN})
    file(RELATIVE_PATH room ${CMAKE_SOURCE_DIR} ${CMAKE_CURRENT_SOURCE_DIR})
    ampturn_target_of(${room} target)
    file(GLOB sources CONFIGURE_DEPENDS *.cpp)
    list(FILTER sources EXCLUDE REGEX "main\\.cpp$")
    ampturn_together(sources ${room} ${sources})
    if(sources)
        add_library(${target} STATIC ${sources})
        set(scope PUBLIC)
    else()
        add_library(${target} INTERFACE)
        set(scope INTERFACE)
    endif()
    foreach(used IN LISTS arg_USES)
        ampturn_target_of(${used} used_target)
        target_link_libraries(${target} ${scope} ${used_target})
    endforeach()
    target_link_libraries(${target} ${scope} ${arg_LINK})
    if(NOT sources OR room MATCHES "^scheduler/core")
        return()
    endif()
    set(options)
    if(AMPTURN_SANITIZE AND NOT room MATCHES "^model/|^scheduler/(run|setup|reading|day|order|rehearse/(record|process|question))$")
        set(options -O0)  # instrumented code takes the compiler twice as long to optimise; where most is computed it is worth it
    elseif(arg_WORDS)
        set(options ${ampturn_words_options})
    endif()
    target_compile_options(${target} PRIVATE ${options})
    set(headers common)
    if(arg_WORDS AND "CLI11::CLI11" IN_LIST arg_LINK)
        set(headers command_line)
    endif()
    ampturn_precompile(${target} ${CMAKE_SOURCE_DIR}/.ci/cmake/${headers}_headers.hpp "${options}")
endfunction()

# ampturn_vector_lanes(file...): sources of the room that loop over vector lanes (model/base/vector_math.hpp, dispatch.hpp).
# Neither flag changes a result: vectors are only passed to functions that are inlined.
set(ampturn_lane_options -O3 -Wno-psabi)
function(ampturn_vector_lanes)
    set_source_files_properties(${ARGN} PROPERTIES COMPILE_OPTIONS "${ampturn_lane_options}"
                                SKIP_PRECOMPILE_HEADERS ON)  # other flags than the precompiled ones
endfunction()

# Headers that nearly every file includes, parsed once for all targets that may share them: of the same options; every file still
# includes what it uses.
function(ampturn_precompile target headers options)
    cmake_path(GET headers STEM name)
    string(MAKE_C_IDENTIFIER "${name}${options}" name)
    if(NOT TARGET ${name})
        file(CONFIGURE OUTPUT ${CMAKE_BINARY_DIR}/${name}.cpp CONTENT "")
        add_library(${name} OBJECT ${CMAKE_BINARY_DIR}/${name}.cpp)
        target_compile_definitions(${name} PRIVATE ${ampturn_fmt})
        target_compile_options(${name} PRIVATE ${options})
        target_link_libraries(${name} PRIVATE ${ARGN})  # whose definitions the headers see
        target_precompile_headers(${name} PRIVATE ${headers})
    endif()
    target_compile_definitions(${target} PRIVATE ${ampturn_fmt})
    target_precompile_headers(${target} REUSE_FROM ${name})
endfunction()

# scheduler/plan/file -> scheduler_plan_file, firmware-sim/net -> firmware_sim_net
function(ampturn_target_of room result)
    string(REGEX REPLACE "[/-]" "_" target ${room})
    set(${result} ${target} PARENT_SCOPE)
endfunction()
