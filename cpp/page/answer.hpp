#pragma once

/// What all that the page calls have in common: text in, JSON out, and nothing thrown at the page.

#include <exception>
#include <string>

#include "json.hpp"

/// Makes a function one that the page can call.
#define LAYSHAFT_PAGE(name) \
  extern "C" __attribute__((export_name(#name), visibility("default"))) const char* name

namespace layshaft::page {

/// Calls `fill` with the object to be answered; what is refused comes as {"error": "..."}. The text
/// stays until the next call.
template <class Fill>
const char* answer(Fill fill) noexcept {
  static std::string text;
  try {
    Json json;
    json.open('{');
    fill(json);
    text = json.close('}').take();
  } catch (const std::exception& refused) {
    Json json;
    text = json.open('{').pair("error", refused.what()).close('}').take();
  }
  return text.c_str();
}

}  // namespace layshaft::page
