# Flags that every target of ours is built with.
add_library(lieflat_warnings INTERFACE)
add_library(lieflat::warnings ALIAS lieflat_warnings)
target_compile_options(
  lieflat_warnings
  INTERFACE -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wsign-conversion -Wswitch-enum -Werror
            # Machines should agree as closely as they can: no fused multiply-add behind our back.
            -ffp-contract=off)
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU" AND CMAKE_CXX_COMPILER_VERSION VERSION_LESS 13)
  # g++ 12 sees an overlap that is not there in  "x" + std::string  at -O2.
  target_compile_options(lieflat_warnings INTERFACE -Wno-restrict)
endif()

if(LIEFLAT_SANITIZE STREQUAL "thread")
  add_compile_options(-fsanitize=thread -fno-omit-frame-pointer)
  add_link_options(-fsanitize=thread)
elseif(LIEFLAT_SANITIZE)
  add_compile_options(-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
  add_link_options(-fsanitize=address,undefined)
endif()
if(LIEFLAT_FUZZ)
  add_compile_options(-fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all)
  add_link_options(-fsanitize=address,undefined)
endif()
