# Run at every build: writes version.cpp, and touches it only when the commit changed.
execute_process(COMMAND git -C ${SOURCE_DIR} rev-parse --short=12 HEAD
                OUTPUT_VARIABLE AMPTURN_GIT_HASH OUTPUT_STRIP_TRAILING_WHITESPACE RESULT_VARIABLE failed ERROR_QUIET)
if(failed)
    set(AMPTURN_GIT_HASH "unknown")
else()
    execute_process(COMMAND git -C ${SOURCE_DIR} status --porcelain --untracked-files=no
                    OUTPUT_VARIABLE changes ERROR_QUIET)
    if(changes)
        string(APPEND AMPTURN_GIT_HASH "-changed")
    endif()
endif()
configure_file(${SOURCE_DIR}/scheduler/base/version.cpp.in ${OUTPUT} @ONLY)
