#pragma once
// The pieces of board.json, read and written. Each reader returns the first fault met.

#include <optional>
#include <string>

#include <Eigen/Core>

#include "lieflat/base/json.h"
#include "lieflat/board/board.h"

namespace lieflat {

/// outline_mm, corners_mm, cutouts_mm.
std::optional<Error> ReadOutline(FieldReader& read, Board& board);
/// holes_mm, after the outline.
std::optional<Error> ReadHoles(FieldReader& read, Board& board);
/// parts, after the outline.
std::optional<Error> ReadParts(FieldReader& read, Board& board, const Calib& calib);

Json PointToJson(const Eigen::Vector2d& point);
Json PartToJson(const Part& part);

/// Text for people: valid UTF-8 without control characters, of bounded length.
void CheckText(FieldReader& read,
               const std::string& key,
               const std::string& text,
               std::size_t longest);
/// A reader of element `index` of a list under `key`.
FieldReader ReaderOf(const FieldReader& read,
                     const std::string& key,
                     const Json& list,
                     std::size_t index);

}  // namespace lieflat
