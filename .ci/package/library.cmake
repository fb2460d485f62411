# The physics library for other programs: all rooms of model/ in one static library, `Ampturn::model` of
# find_package(Ampturn), with the few headers below as its interface. Installed headers include each other from the root as in
# the checkout ("model/ground/earth.hpp"), so the include directory is include/ampturn.
set(ampturn_public_headers
    model/base/constants.hpp
    model/base/check_range.hpp
    model/base/skin_depth.hpp
    model/ground/earth.hpp
    model/ground/plane_wave.hpp
    model/ground/tensor.hpp
    model/fields/fields.hpp
    model/loop/wire.hpp
    model/loop/loop.hpp
    model/emission/free_space_dipole.hpp)

set(objects "")
foreach(room base bridge ground loop receiver emission contours integrals transmitter fields inversion)
    list(APPEND objects $<TARGET_OBJECTS:model_${room}>)
endforeach()
add_library(ampturn_model STATIC ${objects})
set_target_properties(ampturn_model PROPERTIES EXPORT_NAME model LINKER_LANGUAGE CXX)
target_compile_features(ampturn_model PUBLIC cxx_std_20)
target_include_directories(ampturn_model INTERFACE $<INSTALL_INTERFACE:${CMAKE_INSTALL_INCLUDEDIR}/ampturn>)
# Eigen is used inside and shows in no public header; threads are all that a program has to link.
target_link_libraries(ampturn_model PUBLIC Threads::Threads)

set(package_folder ${CMAKE_INSTALL_LIBDIR}/cmake/Ampturn)
install(TARGETS ampturn_model EXPORT AmpturnTargets ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR} COMPONENT libampturn-dev)
install(EXPORT AmpturnTargets NAMESPACE Ampturn:: DESTINATION ${package_folder} COMPONENT libampturn-dev)
foreach(header IN LISTS ampturn_public_headers)
    cmake_path(GET header PARENT_PATH folder)
    install(FILES ${header} DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/ampturn/${folder} COMPONENT libampturn-dev)
endforeach()
configure_package_config_file(.ci/package/AmpturnConfig.cmake.in ${CMAKE_BINARY_DIR}/package/AmpturnConfig.cmake
                              INSTALL_DESTINATION ${package_folder})
# As long as versions begin with 0, a new second number may change the interface.
write_basic_package_version_file(${CMAKE_BINARY_DIR}/package/AmpturnConfigVersion.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${CMAKE_BINARY_DIR}/package/AmpturnConfig.cmake ${CMAKE_BINARY_DIR}/package/AmpturnConfigVersion.cmake
        DESTINATION ${package_folder} COMPONENT libampturn-dev)
