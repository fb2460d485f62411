# The core built as firmware and by other compilers: traces compared byte for byte, sizes and stack measured.
# What a machine lacks (the tools for tests are installed by tests/run) is left out with a message.
find_program(ARM_CXX arm-none-eabi-g++)
find_program(QEMU_ARM qemu-system-arm)
find_program(CLANG_CXX NAMES clang++ clang++-14)
find_program(PYTHON3 python3)
if(NOT (ARM_CXX AND QEMU_ARM AND CLANG_CXX AND PYTHON3))
    message(STATUS "tests of the core as firmware are left out: arm-none-eabi-g++, qemu-system-arm, clang++ or python3 missing")
    return()
endif()

file(GLOB core_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/scheduler/core/*.cpp)
file(GLOB target_sources CONFIGURE_DEPENDS ${CMAKE_SOURCE_DIR}/firmware-sim/target/*.cpp)
list(FILTER target_sources EXCLUDE REGEX "_main.cpp$")
set(script_sources ${CMAKE_SOURCE_DIR}/scheduler/run/trace_script.cpp ${CMAKE_SOURCE_DIR}/scheduler/run/names.cpp)
# As a real unit's firmware is built.
set(arm_flags -mcpu=cortex-m4 -mthumb -mfloat-abi=soft -O2 -fno-exceptions -fno-rtti -fno-threadsafe-statics
              -ffunction-sections -fdata-sections)

# target_image(NAME OBJECTS...): a bare-metal image that runs under qemu-system-arm -M mps2-an386.
function(target_image name)
    set(image ${CMAKE_BINARY_DIR}/firmware/${name}.elf)
    set(script ${CMAKE_SOURCE_DIR}/firmware-sim/target/mps2_an386.ld)
    set(startup ${CMAKE_SOURCE_DIR}/firmware-sim/target/startup.S)
    add_custom_command(OUTPUT ${image} DEPENDS ${ARGN} ${script} ${startup}
                       COMMAND ${ARM_CXX} ${arm_flags} -nostartfiles --specs=nano.specs --specs=nosys.specs -Wl,--gc-sections
                               -T ${script} ${startup} ${ARGN} -o ${image}
                       COMMENT "Linking ${name}.elf" VERBATIM)
    add_custom_target(${name}_elf ALL DEPENDS ${image})
endfunction()

# Cortex-M4
ampturn_objects(arm_core arm ${ARM_CXX} FLAGS ${arm_flags} -fcallgraph-info=su SOURCES ${core_sources})
ampturn_objects(arm_rest arm-test ${ARM_CXX} FLAGS ${arm_flags} SOURCES ${script_sources} ${target_sources})
ampturn_objects(arm_trace arm-test ${ARM_CXX} FLAGS ${arm_flags} SOURCES ${CMAKE_SOURCE_DIR}/firmware-sim/target/trace_main.cpp)
target_image(core_trace ${arm_trace} ${arm_core} ${arm_rest})

# Hosts
set(hosts)
foreach(name gcc-O0 gcc-O3 clang-O0 clang-O3)
    string(REGEX MATCH "-O.$" optimisation ${name})
    set(compiler ${CMAKE_CXX_COMPILER})
    if(name MATCHES "^clang")
        set(compiler ${CLANG_CXX})
    endif()
    ampturn_objects(host_objects ${name} ${compiler} FLAGS ${optimisation}
            SOURCES ${core_sources} ${script_sources} ${CMAKE_CURRENT_SOURCE_DIR}/trace_main.cpp)
    set(program ${CMAKE_BINARY_DIR}/firmware/${name}/trace_main)
    add_custom_command(OUTPUT ${program} DEPENDS ${host_objects} COMMAND ${compiler} ${host_objects} -o ${program}
                       COMMENT "Linking trace_main for ${name}" VERBATIM)
    add_custom_target(trace_main_${name} ALL DEPENDS ${program})
    list(APPEND hosts --host ${name}=${program})
endforeach()

add_executable(core_random_script random_script.cpp)
add_test(NAME core_traces_are_identical
         COMMAND ${PYTHON3} ${CMAKE_CURRENT_SOURCE_DIR}/compare_traces.py ${CMAKE_CURRENT_SOURCE_DIR}/scripts/scenarios.trace
                 $<TARGET_FILE:core_random_script> ${CMAKE_BINARY_DIR}/firmware/traces 1000 ${hosts}
                 --target ${CMAKE_BINARY_DIR}/firmware/core_trace.elf)

ampturn_objects(ram_probe arm-test ${ARM_CXX} FLAGS ${arm_flags} SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/ram_probe.cpp)
add_custom_target(core_ram_probe ALL DEPENDS ${ram_probe} ${arm_core})
add_test(NAME core_keeps_the_budgets_of_firmware
         COMMAND ${PYTHON3} ${CMAKE_CURRENT_SOURCE_DIR}/firmware_budget.py ${CMAKE_BINARY_DIR}/firmware/arm ${ram_probe}
                 ${CMAKE_SOURCE_DIR} ${CMAKE_SOURCE_DIR}/docs/core.md)

# The laws of the sequencer: a walk over its states, and mutants that the walk must catch.
ampturn_objects(walk_object walk ${CMAKE_CXX_COMPILER} FLAGS -O2 SOURCES ${CMAKE_CURRENT_SOURCE_DIR}/walk_main.cpp)
add_custom_target(core_walk_object ALL DEPENDS ${walk_object})
add_test(NAME core_mutants_are_caught
         COMMAND ${PYTHON3} ${CMAKE_CURRENT_SOURCE_DIR}/mutants.py ${CMAKE_CXX_COMPILER} ${CMAKE_SOURCE_DIR}
                 ${CMAKE_BINARY_DIR}/firmware/gcc-O3 ${walk_object} ${CMAKE_BINARY_DIR}/firmware/mutants)

# Instructions of calls into the core, on the target and on the host.
find_program(VALGRIND valgrind)
if(VALGRIND)
    ampturn_objects(arm_count arm-test ${ARM_CXX} FLAGS ${arm_flags} SOURCES ${CMAKE_SOURCE_DIR}/tests/scheduler/core/target_count_main.cpp)
    target_image(core_count ${arm_count} ${arm_core} ${arm_rest})
    add_executable(core_count_host count_main.cpp)
    target_link_libraries(core_count_host PRIVATE scheduler_core)
    add_test(NAME core_instructions_are_counted
             COMMAND ${PYTHON3} ${CMAKE_CURRENT_SOURCE_DIR}/count_instructions.py ${CMAKE_BINARY_DIR}/firmware/core_count.elf
                     $<TARGET_FILE:core_count_host> ${CMAKE_BINARY_DIR}/firmware/counts ${CMAKE_SOURCE_DIR}/docs/core.md)
endif()

foreach(test core_traces_are_identical core_keeps_the_budgets_of_firmware core_mutants_are_caught core_instructions_are_counted)
    if(TEST ${test})
        set_tests_properties(${test} PROPERTIES LABELS firmware)
    endif()
endforeach()
