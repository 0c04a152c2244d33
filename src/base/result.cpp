#include "lieflat/base/result.h"

namespace lieflat {

std::string Error::Text() const {
  std::string text = where;
  if (!text.empty() && !message.empty()) text += ": ";
  text += message;
  if (!remedy.empty()) text += text.empty() ? remedy : " (" + remedy + ")";
  return text;
}

}  // namespace lieflat
