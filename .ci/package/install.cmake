# What `cmake --install` puts where, in three components which are the Debian packages too: ampturn (planner, demo plans,
# documents), ampturn-sim (simulated unit, drills), libampturn-dev (the physics library). The programs carry their pages and
# texts in themselves and need no file at run time.
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)
set(CMAKE_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS OWNER_READ OWNER_WRITE OWNER_EXECUTE GROUP_READ GROUP_EXECUTE WORLD_READ
                                                WORLD_EXECUTE)

install(TARGETS ampturn COMPONENT ampturn)
install(TARGETS ampturn-sim COMPONENT ampturn-sim)

set(share ${CMAKE_INSTALL_DATADIR})
install(DIRECTORY demo/ DESTINATION ${share}/ampturn/demo COMPONENT ampturn
        FILES_MATCHING PATTERN "*.toml" PATTERN "*.jsonl" PATTERN "*.geojson" PATTERN "*.asc"
        PATTERN drills EXCLUDE PATTERN out EXCLUDE)
install(DIRECTORY demo/drills DESTINATION ${share}/ampturn/demo COMPONENT ampturn-sim FILES_MATCHING PATTERN "*.toml")

set(documents ${share}/doc/ampturn)
file(GLOB pages CONFIGURE_DEPENDS docs/*.md)
list(FILTER pages EXCLUDE REGEX "docs/(operating|protocol|changes)\\.md$")
install(FILES README.md ${pages} DESTINATION ${documents} COMPONENT ampturn)
install(DIRECTORY docs/images DESTINATION ${documents} COMPONENT ampturn)
install(PROGRAMS docs/slurm_array.sh DESTINATION ${documents}/examples COMPONENT ampturn)
install(FILES docs/operating.md docs/protocol.md DESTINATION ${share}/doc/ampturn-sim COMPONENT ampturn-sim)
install(DIRECTORY docs/library_example DESTINATION ${share}/doc/libampturn-dev/examples COMPONENT libampturn-dev)

include(.ci/package/library.cmake)
