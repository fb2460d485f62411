# Debian packages: `cpack --config build/dev/CPackConfig.cmake -B FOLDER`. One package a component. Same commit, same bytes:
# SOURCE_DATE_EPOCH is the time every file in them bears (.ci/package/debs sets it to that of the commit).
set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_VENDOR "the Ampturn authors")
set(CPACK_PACKAGE_CONTACT "The Ampturn authors <ampturn@example.invalid>")
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
set(CPACK_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS ${CMAKE_INSTALL_DEFAULT_DIRECTORY_PERMISSIONS})
set(CPACK_STRIP_FILES ON)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_GROUPING IGNORE)
set(CPACK_COMPONENTS_ALL ampturn ampturn-sim libampturn-dev)
set(CPACK_PRE_BUILD_SCRIPTS ${CMAKE_SOURCE_DIR}/.ci/package/staged.cmake)

set(CPACK_DEBIAN_PACKAGE_RELEASE 1)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_COMPRESSION_TYPE gzip)  # xz takes three times as long for a sixth less
set(CPACK_DEBIAN_PACKAGE_CONTROL_STRICT_PERMISSION ON)
foreach(program AMPTURN AMPTURN-SIM)
    set(CPACK_DEBIAN_${program}_PACKAGE_SECTION science)
    set(CPACK_DEBIAN_${program}_PACKAGE_SHLIBDEPS ON)
endforeach()
set(CPACK_DEBIAN_AMPTURN_PACKAGE_NAME ampturn)
set(CPACK_DEBIAN_AMPTURN_PACKAGE_SUGGESTS ampturn-sim)
set(CPACK_COMPONENT_AMPTURN_DESCRIPTION
    "planner and simulator of sweeps of a portable loop transmitter
Plans and rehearses soundings with audio-frequency electromagnetics and a
portable, battery-powered loop transmitter: where to stand, which frequencies,
how long on each, how many batteries, and whether what arrives is strong
enough and plane-wave enough over a layered ground.

A planning aid; safety and licensing stay with the responsible person.")
set(CPACK_DEBIAN_AMPTURN-SIM_PACKAGE_NAME ampturn-sim)
set(CPACK_DEBIAN_AMPTURN-SIM_PACKAGE_SUGGESTS ampturn)
set(CPACK_COMPONENT_AMPTURN-SIM_DESCRIPTION
    "simulated portable loop transmitter for training and tests
A simulated instrument on the network: it speaks a command language over TCP
and has a panel in the browser. Drills with faults, scoring and a debrief let
people practise start, stop and recovery without hardware.

It drives nothing real.")
set(CPACK_DEBIAN_LIBAMPTURN-DEV_PACKAGE_NAME libampturn-dev)
set(CPACK_DEBIAN_LIBAMPTURN-DEV_PACKAGE_SECTION libdevel)
string(REGEX MATCH "^[0-9]+" compiler ${CMAKE_CXX_COMPILER_VERSION})
set(CPACK_DEBIAN_LIBAMPTURN-DEV_PACKAGE_DEPENDS "libstdc++-${compiler}-dev")
set(CPACK_DEBIAN_LIBAMPTURN-DEV_PACKAGE_SUGGESTS "cmake (>= 3.25)")
set(CPACK_COMPONENT_LIBAMPTURN-DEV_DESCRIPTION
    "electromagnetics of loops over layered ground - static library
Fields of loops and dipoles over a layered earth, plane-wave response,
impedance tensors with error bars, skin depth and the electrical side of
transmitter loops, for programs in C++20.

Headers, a static library and what find_package(Ampturn) of CMake reads.")
include(CPack)
