# What lands on a machine: the program with its manual page, completions and documents (component `program`), and the library
# for other projects (component `library`).
include(GNUInstallDirs)
include(CMakePackageConfigHelpers)

# Made by the program itself once it is built; not when it is built for another machine.
set(shell_files ${PROJECT_BINARY_DIR}/shell)
add_custom_command(
  OUTPUT ${shell_files}/lieflat.1.gz ${shell_files}/lieflat ${shell_files}/_lieflat ${shell_files}/lieflat.fish
  COMMAND ${CMAKE_COMMAND} -E make_directory ${shell_files}
  COMMAND lieflat manual | gzip -9n > ${shell_files}/lieflat.1.gz
  COMMAND lieflat completion bash > ${shell_files}/lieflat
  COMMAND lieflat completion zsh > ${shell_files}/_lieflat
  COMMAND lieflat completion fish > ${shell_files}/lieflat.fish
  DEPENDS lieflat
  VERBATIM)
add_custom_target(shell_files ALL DEPENDS ${shell_files}/lieflat.1.gz)

set(doc ${CMAKE_INSTALL_DATADIR}/doc/lieflat)
install(TARGETS lieflat RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR} COMPONENT program)
install(FILES ${shell_files}/lieflat.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1 COMPONENT program)
install(FILES ${shell_files}/lieflat DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions COMPONENT program)
install(FILES ${shell_files}/_lieflat DESTINATION ${CMAKE_INSTALL_DATADIR}/zsh/vendor-completions COMPONENT program)
install(FILES ${shell_files}/lieflat.fish DESTINATION ${CMAKE_INSTALL_DATADIR}/fish/vendor_completions.d COMPONENT program)
install(DIRECTORY docs/schemas calib DESTINATION ${CMAKE_INSTALL_DATADIR}/lieflat COMPONENT program)
install(FILES README.md CHANGELOG.md THIRD-PARTY.md DESTINATION ${doc} COMPONENT program)
file(GLOB pages CONFIGURE_DEPENDS docs/*.md docs/*.svg)
install(FILES ${pages} DESTINATION ${doc}/docs COMPONENT program)
install(FILES LICENSE RENAME copyright DESTINATION ${doc} COMPONENT program)

# find_package(lieflat) gives lieflat::assess, lieflat::report and what they stand on.
set(modules base board damage readings plate shape flatness joints press lasting trend choice record assess report)
foreach(module IN LISTS modules)
  set_target_properties(lieflat_${module} PROPERTIES EXPORT_NAME ${module})
  install(TARGETS lieflat_${module} EXPORT lieflat ARCHIVE DESTINATION ${CMAKE_INSTALL_LIBDIR}/lieflat COMPONENT library)
  install(DIRECTORY include/lieflat/${module} DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/lieflat COMPONENT library)
endforeach()
set(package ${CMAKE_INSTALL_LIBDIR}/cmake/lieflat)
install(EXPORT lieflat NAMESPACE lieflat:: FILE lieflat-targets.cmake DESTINATION ${package} COMPONENT library)
write_basic_package_version_file(${PROJECT_BINARY_DIR}/lieflat-config-version.cmake COMPATIBILITY SameMinorVersion)
install(FILES cmake/lieflat-config.cmake ${PROJECT_BINARY_DIR}/lieflat-config-version.cmake DESTINATION ${package}
        COMPONENT library)

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME lieflat)
set(CPACK_PACKAGE_CONTACT "The Lieflat founders <founders@lieflat.invalid>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "How bent a circuit board is, and whether to press it flat")
set(CPACK_COMPONENTS_ALL program library)
set(CPACK_DEB_COMPONENT_INSTALL ON)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_NAME lieflat)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_NAME liblieflat-dev)
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SECTION science)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_SECTION libdevel)
set(CPACK_DEBIAN_LIBRARY_PACKAGE_DEPENDS "libeigen3-dev, nlohmann-json3-dev, libfmt-dev")
set(CPACK_DEBIAN_PROGRAM_PACKAGE_SHLIBDEPS ON)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_STRIP_FILES ON)
include(CPack)
