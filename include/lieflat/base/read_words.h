#pragma once
// A list of words under a key of a JSON object.

#include <string>
#include <vector>

#include "lieflat/base/json.h"

namespace lieflat {

/// The words under the key, none when it is absent. What is no text, or none of the `known` words
/// where there are any, is refused through the reader, and the words before it come back.
std::vector<std::string> ReadWords(FieldReader& read,
                                   const std::string& key,
                                   const std::vector<std::string>& known = {});

}  // namespace lieflat
