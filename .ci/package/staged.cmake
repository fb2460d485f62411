# Run by CPack over the files of each package before it packs them: completions of zsh go to Debian's folder for them, the static
# library loses what only a debugger reads, and every file gets one time, that of SOURCE_DATE_EPOCH.
file(GLOB roots ${CPACK_TEMPORARY_INSTALL_DIRECTORY} ${CPACK_TEMPORARY_INSTALL_DIRECTORY}/*)
foreach(root IN LISTS roots)
    set(zsh ${root}/usr/share/zsh)
    if(EXISTS ${zsh}/site-functions)
        file(RENAME ${zsh}/site-functions ${zsh}/vendor-completions)
    endif()
endforeach()
file(GLOB_RECURSE libraries ${CPACK_TEMPORARY_INSTALL_DIRECTORY}/*.a)
foreach(library IN LISTS libraries)
    execute_process(COMMAND strip --strip-debug --enable-deterministic-archives ${library} COMMAND_ERROR_IS_FATAL ANY)
endforeach()
if(NOT "$ENV{SOURCE_DATE_EPOCH}" STREQUAL "")
    execute_process(COMMAND find ${CPACK_TEMPORARY_INSTALL_DIRECTORY} -exec touch -h -d @$ENV{SOURCE_DATE_EPOCH} {} +
                    COMMAND_ERROR_IS_FATAL ANY)
endif()
