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
