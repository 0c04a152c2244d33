#pragma once
// The page's own files, compressed at build time and placed in the program.

#include <optional>
#include <string>

#include "app/web/http.h"

namespace lieflat::web {

/// The file, with its ETag; 304 when the browser has it. Nothing for a name that is no file of the
/// page.
std::optional<Answer> PageFile(const std::string& name, const Head& head);
/// The style of the drawings that the page takes into its document.
Answer DrawingStyleFile();

}  // namespace lieflat::web
