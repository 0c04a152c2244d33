#pragma once
// The text of --help: 80 columns, one entry a flag.

#include <string>

#include <CLI/CLI.hpp>

namespace lieflat::cli {

class HelpFormatter : public CLI::Formatter {
 public:
  std::string make_option(const CLI::Option* option, bool is_positional) const override;
  std::string make_subcommand(const CLI::App* verb) const override;
};

}  // namespace lieflat::cli
