#include "sheet/canvas.h"

#include <numbers>

#include <cairo-pdf.h>
#include <cairo.h>

namespace lieflat::internal {
namespace {

constexpr double kPointsPerMm = 72.0 / 25.4;

cairo_status_t Collect(void* to, const unsigned char* bytes, unsigned int count) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), count);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

struct Canvas::State {
  std::string bytes;
  cairo_surface_t* surface = nullptr;
  cairo_t* pen = nullptr;
  bool page_open = false;
  double page_height_mm = 0.0;
};

Canvas::Canvas(const std::string& title, const std::string& made_at)
    : state_(std::make_unique<State>()) {
  state_->surface = cairo_pdf_surface_create_for_stream(Collect, &state_->bytes, 72.0, 72.0);
  cairo_pdf_surface_set_metadata(state_->surface, CAIRO_PDF_METADATA_TITLE, title.c_str());
  cairo_pdf_surface_set_metadata(state_->surface, CAIRO_PDF_METADATA_CREATE_DATE, made_at.c_str());
  state_->pen = cairo_create(state_->surface);
}

Canvas::~Canvas() {
  cairo_destroy(state_->pen);
  cairo_surface_destroy(state_->surface);
}

void Canvas::NewPage(const Eigen::Vector2d& size_mm) {
  if (state_->page_open) cairo_show_page(state_->pen);
  state_->page_open = true;
  cairo_pdf_surface_set_size(
      state_->surface, size_mm.x() * kPointsPerMm, size_mm.y() * kPointsPerMm);
  cairo_identity_matrix(state_->pen);
  cairo_scale(state_->pen, kPointsPerMm, kPointsPerMm);
  state_->page_height_mm = size_mm.y();
}

void Canvas::Rectangle(const Eigen::Vector2d& low, const Eigen::Vector2d& high, Ink ink) {
  cairo_set_source_rgb(state_->pen, ink.grey, ink.grey, ink.grey);
  cairo_rectangle(state_->pen,
                  low.x(),
                  state_->page_height_mm - high.y(),
                  high.x() - low.x(),
                  high.y() - low.y());
  cairo_fill(state_->pen);
}

void Canvas::Frame(const Eigen::Vector2d& low, const Eigen::Vector2d& high, double width, Ink ink) {
  cairo_set_source_rgb(state_->pen, ink.grey, ink.grey, ink.grey);
  cairo_set_line_width(state_->pen, width);
  cairo_rectangle(state_->pen,
                  low.x(),
                  state_->page_height_mm - high.y(),
                  high.x() - low.x(),
                  high.y() - low.y());
  cairo_stroke(state_->pen);
}

void Canvas::Line(const Eigen::Vector2d& from, const Eigen::Vector2d& to, double width, Ink ink) {
  cairo_set_source_rgb(state_->pen, ink.grey, ink.grey, ink.grey);
  cairo_set_line_width(state_->pen, width);
  cairo_move_to(state_->pen, from.x(), state_->page_height_mm - from.y());
  cairo_line_to(state_->pen, to.x(), state_->page_height_mm - to.y());
  cairo_stroke(state_->pen);
}

void Canvas::Circle(const Eigen::Vector2d& centre, double radius, double width, Ink ink) {
  cairo_set_source_rgb(state_->pen, ink.grey, ink.grey, ink.grey);
  cairo_set_line_width(state_->pen, width);
  cairo_new_sub_path(state_->pen);
  cairo_arc(state_->pen,
            centre.x(),
            state_->page_height_mm - centre.y(),
            radius,
            0.0,
            2.0 * std::numbers::pi);
  cairo_stroke(state_->pen);
}

void Canvas::Text(const Eigen::Vector2d& at,
                  double height,
                  const std::string& text,
                  Align align,
                  double turned_deg) {
  cairo_t* const pen = state_->pen;
  cairo_save(pen);
  cairo_set_source_rgb(pen, 0.0, 0.0, 0.0);
  cairo_select_font_face(pen, "DejaVu Sans", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  constexpr double kCapitalShare = 0.73;  // height of a capital over the font's size
  cairo_set_font_size(pen, height / kCapitalShare);
  cairo_text_extents_t extents;
  cairo_text_extents(pen, text.c_str(), &extents);
  const double share = align == Align::kLeft ? 0.0 : align == Align::kCentre ? 0.5 : 1.0;
  cairo_translate(pen, at.x(), state_->page_height_mm - at.y());
  cairo_rotate(pen, -turned_deg * std::numbers::pi / 180.0);
  cairo_move_to(pen, -share * extents.x_advance, 0.0);
  cairo_show_text(pen, text.c_str());
  cairo_restore(pen);
}

Result<std::string> Canvas::Finish() {
  if (state_->page_open) cairo_show_page(state_->pen);
  const cairo_status_t drawn = cairo_status(state_->pen);
  cairo_surface_finish(state_->surface);
  const cairo_status_t status =
      drawn != CAIRO_STATUS_SUCCESS ? drawn : cairo_surface_status(state_->surface);
  if (status != CAIRO_STATUS_SUCCESS) {
    return Error{ErrorCode::kInternal,
                 "PDF",
                 std::string("could not be drawn: ") + cairo_status_to_string(status),
                 "is there memory left?"};
  }
  return std::move(state_->bytes);
}

}  // namespace lieflat::internal
