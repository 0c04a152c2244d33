#include "app/cli/help.h"

#include "lieflat/report/text.h"

namespace lieflat::cli {
namespace {

constexpr int kColumns = 80;
constexpr int kHelpStarts = 26;  // the longest flag with its value and a gap fits before it

std::string Entry(const std::string& name, const std::string& help) {
  std::string left = "  " + name;
  std::string lead;
  if (left.size() + 1 > kHelpStarts) {
    lead = left + "\n";
    left.clear();
  }
  left.resize(kHelpStarts, ' ');
  std::string text = Wrap(help, kColumns, kHelpStarts, kHelpStarts);
  if (text.empty() || text.back() != '\n') text += '\n';
  text.replace(0, kHelpStarts, left);
  return lead + text;
}

}  // namespace

std::string HelpFormatter::make_option(const CLI::Option* option, bool is_positional) const {
  std::string name = option->get_name(is_positional, !is_positional);
  for (std::size_t comma = name.find(','); comma != std::string::npos;
       comma = name.find(',', comma + 2)) {
    name.insert(comma + 1, " ");
  }
  const bool takes_value = !is_positional && option->get_expected_max() != 0;
  if (takes_value) name += " " + option->get_type_name();
  return Entry(name, option->get_description());
}

std::string HelpFormatter::make_subcommand(const CLI::App* verb) const {
  return Entry(verb->get_name(), verb->get_description());
}

}  // namespace lieflat::cli
