#pragma once

/// Writes JSON, just what the page needs: objects and lists of numbers and texts.
///
/// Numbers are the shortest that read back as the same bits; what is no finite number is `null`.

#include <array>
#include <charconv>
#include <cmath>
#include <string>
#include <string_view>
#include <utility>

namespace layshaft::page {

class Json {
 public:
  Json& open(char bracket) {
    part();
    text_ += bracket;
    is_first_ = true;
    return *this;
  }

  Json& close(char bracket) {
    text_ += bracket;
    is_first_ = false;
    return *this;
  }

  Json& key(std::string_view name) {
    value(name);
    text_ += ':';
    is_first_ = true;  // What follows belongs to it: no comma.
    return *this;
  }

  Json& value(double number) {
    part();
    if (!std::isfinite(number)) {
      text_ += "null";
      return *this;
    }
    std::array<char, 32> digits;
    const auto [end, error] = std::to_chars(digits.data(), digits.data() + digits.size(), number);
    text_.append(digits.data(), end);
    return *this;
  }

  Json& value(bool holds) {
    part();
    text_ += holds ? "true" : "false";
    return *this;
  }

  Json& value(std::string_view words) {
    constexpr std::string_view kDigits = "0123456789abcdef";
    part();
    text_ += '"';
    for (const char letter : words) {
      const auto code = static_cast<unsigned char>(letter);
      if (letter == '"' || letter == '\\') {
        text_ += '\\';
        text_ += letter;
      } else if (code < 0x20) {
        text_ += "\\u00";
        text_ += kDigits[code >> 4];
        text_ += kDigits[code & 15];
      } else {
        text_ += letter;
      }
    }
    text_ += '"';
    return *this;
  }
  Json& value(const char* words) { return value(std::string_view(words)); }
  Json& value(const std::string& words) { return value(std::string_view(words)); }

  template <class Value>
  Json& pair(std::string_view name, const Value& content) {
    return key(name).value(content);
  }

  template <class Row, class Number>
  Json& list(std::string_view name, const Row& row, const Number& number) {
    key(name).open('[');
    for (const auto& each : row) value(number(each));
    return close(']');
  }

  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  void part() {
    if (!is_first_) text_ += ',';
    is_first_ = false;
  }

  std::string text_;
  bool is_first_ = true;
};

}  // namespace layshaft::page
