# lieflat_embed(target symbol_prefix file...): the bytes of each file in the program, found by name through the
# generated table  <prefix>_table  (see include/lieflat/base/embedded.h). An assembler file with .incbin builds at once whatever the size.
function(lieflat_embed target prefix)
  set(asm ${CMAKE_CURRENT_BINARY_DIR}/${prefix}_embedded.S)
  set(cpp ${CMAKE_CURRENT_BINARY_DIR}/${prefix}_embedded.cpp)
  set(asm_text ".section .rodata\n")
  set(declarations "")
  set(rows "")
  set(number 0)
  foreach(file IN LISTS ARGN)
    get_filename_component(path ${file} ABSOLUTE)
    get_filename_component(name ${file} NAME)
    set(symbol ${prefix}_${number})
    string(APPEND asm_text
           ".global ${symbol}_begin\n.global ${symbol}_end\n${symbol}_begin:\n.incbin \"${path}\"\n${symbol}_end:\n.byte 0\n")
    string(APPEND declarations "extern const char ${symbol}_begin[];\nextern const char ${symbol}_end[];\n")
    string(APPEND rows "    {\"${name}\", ${symbol}_begin, ${symbol}_end},\n")
    math(EXPR number "${number} + 1")
  endforeach()
  string(APPEND asm_text ".section .note.GNU-stack,\"\",%progbits\n")
  file(CONFIGURE OUTPUT ${asm} CONTENT "${asm_text}" @ONLY)
  file(CONFIGURE OUTPUT ${cpp} CONTENT
"#include \"lieflat/base/embedded.h\"
// NOLINTBEGIN(readability-identifier-naming): names of assembler symbols
extern \"C\" {
${declarations}}
namespace lieflat {
extern const EmbeddedFile ${prefix}_table[];
const EmbeddedFile ${prefix}_table[] = {
${rows}    {nullptr, nullptr, nullptr}};
// NOLINTEND(readability-identifier-naming)
}  // namespace lieflat
" @ONLY)
  set_source_files_properties(${asm} PROPERTIES OBJECT_DEPENDS "${ARGN}")
  target_sources(${target} PRIVATE ${asm} ${cpp})
endfunction()
