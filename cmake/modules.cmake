# lieflat_add_module(flatness SOURCES bow.cpp USES shape board LIBRARIES Eigen3::Eigen)  ->  lieflat::flatness
function(lieflat_add_module name)
  cmake_parse_arguments(ARG "" "" "SOURCES;USES;LIBRARIES" ${ARGN})
  add_library(lieflat_${name} STATIC ${ARG_SOURCES})
  add_library(lieflat::${name} ALIAS lieflat_${name})
  target_include_directories(lieflat_${name} PUBLIC $<BUILD_INTERFACE:${PROJECT_SOURCE_DIR}/include>
                                                    $<INSTALL_INTERFACE:include>
                             PRIVATE ${PROJECT_SOURCE_DIR}/src)
  list(TRANSFORM ARG_USES PREPEND lieflat::)
  target_link_libraries(lieflat_${name} PUBLIC ${ARG_USES} ${ARG_LIBRARIES}
                        PRIVATE $<BUILD_INTERFACE:lieflat::warnings>)
endfunction()

# lieflat_add_test(flatness bow_test.cpp [LIBRARIES ...])  ->  the program flatness_bow_test, its cases known to ctest.
# The time-out of a case stands in the test presets: the short form is the default, LIEFLAT_FULL=1 asks for the full counts.
function(lieflat_add_test module source)
  cmake_parse_arguments(ARG "" "" "LIBRARIES" ${ARGN})
  get_filename_component(stem ${source} NAME_WE)
  set(target ${module}_${stem})
  add_executable(${target} ${source})
  target_link_libraries(${target} PRIVATE lieflat::${module} lieflat::test_support ${ARG_LIBRARIES}
                                          lieflat::warnings GTest::gmock GTest::gtest)
  gtest_discover_tests(${target} TEST_PREFIX "${module}." DISCOVERY_TIMEOUT 60)
endfunction()
