# Files that only an installation needs, made at build time below package/: manual pages, completions, notices, change logs.
# Their date is that of the version, in docs/changes.md.
file(READ docs/changes.md changes)
set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS docs/changes.md)
string(REPLACE "." "\\." version_pattern ${PROJECT_VERSION})
if(NOT changes MATCHES "## ${version_pattern} \\(([0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9])\\)")
    message(FATAL_ERROR "docs/changes.md: found no heading \"## ${PROJECT_VERSION} (YYYY-MM-DD)\", which the version needs")
endif()
set(AMPTURN_VERSION_DATE ${CMAKE_MATCH_1})
find_program(GZIP gzip REQUIRED)
cmake_path(GET AMPTURN_ECHARTS PARENT_PATH npm)
cmake_path(SET npm NORMALIZE ${npm}/../..)

set(made ${CMAKE_BINARY_DIR}/package)
# Pages compressed as Debian wants them: best, without name and time.
set(pages man1/ampturn.1 man1/ampturn-sim.1 man5/ampturn-plan.5)
list(TRANSFORM pages PREPEND ${made}/help/ OUTPUT_VARIABLE page_paths)
set(scripts bash/ampturn bash/ampturn-sim zsh/_ampturn zsh/_ampturn-sim fish/ampturn.fish fish/ampturn-sim.fish)
list(TRANSFORM scripts PREPEND ${made}/help/)
add_custom_command(OUTPUT ${page_paths} ${scripts}
                   COMMAND program_help_maker ${made}/help ${AMPTURN_VERSION_DATE}
                   DEPENDS program_help_maker COMMENT "Making manual pages and completions" VERBATIM)
add_custom_command(OUTPUT ${made}/third-party-notices.txt
                   COMMAND ${CMAKE_COMMAND} -DPAGE=${CMAKE_SOURCE_DIR}/docs/third_party.md -DNPM=${npm}
                           -DOUTPUT=${made}/third-party-notices.txt -P ${CMAKE_SOURCE_DIR}/.ci/package/notices.cmake
                   DEPENDS docs/third_party.md .ci/package/notices.cmake COMMENT "Gathering notices" VERBATIM)

# ampturn_compressed(FROM TO): gzip of a file, always the same bytes.
set(compressed "")
function(ampturn_compressed from to)
    add_custom_command(OUTPUT ${to} COMMAND ${GZIP} -9nc ${from} > ${to} DEPENDS ${from} COMMENT "Compressing ${to}")
    set(compressed ${compressed} ${to} PARENT_SCOPE)
endfunction()
foreach(page IN LISTS page_paths)
    ampturn_compressed(${page} ${page}.gz)
endforeach()
ampturn_compressed(${made}/third-party-notices.txt ${made}/third-party-notices.txt.gz)
ampturn_compressed(${CMAKE_SOURCE_DIR}/docs/changes.md ${made}/changelog.gz)

set(share ${CMAKE_INSTALL_DATADIR})
set(version ${PROJECT_VERSION})
execute_process(COMMAND date -u -R -d ${AMPTURN_VERSION_DATE} OUTPUT_VARIABLE date OUTPUT_STRIP_TRAILING_WHITESPACE
                COMMAND_ERROR_IS_FATAL ANY)
foreach(package ampturn ampturn-sim libampturn-dev)
    configure_file(.ci/package/copyright.in ${made}/${package}/copyright @ONLY)
    configure_file(.ci/package/changelog.Debian.in ${made}/${package}/changelog.Debian @ONLY)
    ampturn_compressed(${made}/${package}/changelog.Debian ${made}/${package}/changelog.Debian.gz)
    install(FILES ${made}/${package}/copyright ${made}/${package}/changelog.Debian.gz ${made}/changelog.gz
                  ${made}/third-party-notices.txt.gz
            DESTINATION ${share}/doc/${package} COMPONENT ${package})
endforeach()
install(FILES ${made}/help/man5/ampturn-plan.5.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man5 COMPONENT ampturn)
foreach(program ampturn ampturn-sim)
    install(FILES ${made}/help/man1/${program}.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 COMPONENT ${program})
    install(FILES ${made}/help/bash/${program} DESTINATION ${share}/bash-completion/completions COMPONENT ${program})
    install(FILES ${made}/help/zsh/_${program} DESTINATION ${share}/zsh/site-functions COMPONENT ${program})
    install(FILES ${made}/help/fish/${program}.fish DESTINATION ${share}/fish/vendor_completions.d COMPONENT ${program})
endforeach()
add_custom_target(package_files ALL DEPENDS ${compressed} ${scripts})
