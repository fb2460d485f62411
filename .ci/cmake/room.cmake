# ampturn_room([USES room...] [LINK library...]): the folder it is called in becomes one library, named after the folder
# (scheduler/day: scheduler_day), made of its *.cpp but main.cpp, which may include from the rooms it names and from no
# others: tests/rooms_test.py reads every #include against USES. LINK names libraries from outside the project.
function(ampturn_room)
    cmake_parse_arguments(arg "" "" "USES;LINK" ${ARGN})
    file(RELATIVE_PATH room ${CMAKE_SOURCE_DIR} ${CMAKE_CURRENT_SOURCE_DIR})
    ampturn_target_of(${room} target)
    file(GLOB sources CONFIGURE_DEPENDS *.cpp)
    list(FILTER sources EXCLUDE REGEX "main\\.cpp$")
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
endfunction()

# scheduler/plan/file -> scheduler_plan_file, firmware-sim/net -> firmware_sim_net
function(ampturn_target_of room result)
    string(REGEX REPLACE "[/-]" "_" target ${room})
    set(${result} ${target} PARENT_SCOPE)
endfunction()
