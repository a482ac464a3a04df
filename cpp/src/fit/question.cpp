#include "layshaft/fit/question.hpp"

#include <algorithm>
#include <cstddef>
#include <stdexcept>
#include <string>
#include <utility>

#include "layshaft/car/units.hpp"

namespace layshaft {
namespace {

// The words of the next line; the text is left behind it.
std::vector<std::string> next_line(std::string_view& text) {
  std::vector<std::string> words;
  const std::size_t length = std::min(text.find('\n'), text.size());
  std::string_view line = text.substr(0, length);
  text.remove_prefix(std::min(length + 1, text.size()));
  while (!line.empty()) {
    const std::size_t end = std::min(line.find(' '), line.size());
    if (end > 0) words.emplace_back(line.substr(0, end));
    line.remove_prefix(std::min(end + 1, line.size()));
  }
  return words;
}

}  // namespace

Question read_question(const Car& car, std::string_view text) {
  Question question;
  while (!text.empty()) {
    const std::vector<std::string> words = next_line(text);
    const auto number = [&](std::size_t place) { return to_si(words[place], "1"); };
    if (words.empty()) continue;
    if (words.size() == 3 && words[0] == "unknown") {
      question.unknowns.push_back(unknown_of(car, words[1], number(2)));
    } else if (words.size() >= 4 && words.size() % 2 == 0 && words[0] == "seen") {
      Observation seen{words[1], number(2), number(3), {}, {}};
      for (std::size_t i = 4; i < words.size(); i += 2) {
        seen.changes.push_back({words[i], number(i + 1)});
      }
      question.seen.push_back(std::move(seen));
    } else {
      throw std::invalid_argument(
          "a line must be `unknown PATH DOUBT` or `seen MEASURE VALUE ERROR PATH VALUE ...`");
    }
  }
  return question;
}

}  // namespace layshaft
