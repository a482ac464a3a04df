/// Fuzzer of the car builder: replays the trials of a folder, then changes them at random.
///
///     layshaft_car_fuzz [--seconds N] [--trials N] [--seed N] [--keep] FOLDER
///
/// Of a build with `-fsanitize-coverage=trace-pc` (preset `fuzz`) it goes on from each trial that
/// reaches code not reached before; with `--keep` it writes these into the folder. A trial that
/// fails is cut to what is needed and printed as text; so is one that a sanitizer stops, which
/// stands in `failing-trial.txt`.

#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <random>
#include <set>

#include "car_trial.hpp"

namespace {

// Coverage: one byte for each place in the code, by a hash of its address.
constexpr std::size_t kPlaces = 1U << 16U;
std::array<unsigned char, kPlaces> reached;

}  // namespace

// Called by instrumented code at every branch; itself not instrumented.
extern "C" __attribute__((no_sanitize_coverage, no_sanitize("address", "undefined"))) void
__sanitizer_cov_trace_pc() {
  const auto place = reinterpret_cast<std::uintptr_t>(__builtin_return_address(0));
  reached[(place ^ (place >> 16U)) % kPlaces] = 1;
}

namespace layshaft_fuzz {
namespace {

struct Asked {
  std::filesystem::path folder;
  double seconds = 0.0;
  long trials = 0;
  std::uint64_t seed = 1;
  bool keep = false;
};

constexpr const char* kFailing = "failing-trial.txt";

std::size_t count_reached() {
  std::size_t count = 0;
  for (const unsigned char place : reached) count += place;
  return count;
}

std::vector<Trial> read_folder(const std::filesystem::path& folder) {
  std::set<std::filesystem::path> files;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) files.insert(entry.path());
  std::vector<Trial> trials;
  for (const auto& path : files) {
    std::ifstream text(path);
    trials.push_back(read_trial(text));
  }
  return trials;
}

void write_file(const std::filesystem::path& path, const Trial& trial) {
  std::ofstream text(path);
  write_trial(text, trial);
}

// The trial without the lines that do not matter for what goes wrong.
Trial cut_down(Trial trial, const std::string& wrong) {
  for (std::size_t k = trial.size(); k-- > 0;) {
    Trial shorter = trial;
    shorter.erase(shorter.begin() + static_cast<std::ptrdiff_t>(k));
    if (try_car(shorter) == wrong) trial = shorter;
  }
  return trial;
}

// True if the trial is well. It stands in a file while it runs, for a sanitizer ends the program.
bool passes(const Trial& trial, bool note) {
  if (note) write_file(kFailing, trial);
  const std::string wrong = try_car(trial);
  if (wrong.empty()) return true;
  const Trial least = cut_down(trial, wrong);
  write_file(kFailing, least);
  std::cout << "FAILED: " << wrong << '\n';
  write_trial(std::cout, least);
  return false;
}

Trial change(const std::vector<Trial>& pool, std::mt19937_64& random) {
  Trial trial = pool[random() % pool.size()];
  const std::uint64_t changes = 1 + random() % (random() % 4 == 0 ? 32 : 3);
  for (std::uint64_t k = 0; k < changes; ++k) {
    const std::uint64_t kind = random() % 8;
    if (kind == 0 && !trial.empty()) {
      trial.erase(trial.begin() + static_cast<std::ptrdiff_t>(random() % trial.size()));
    } else if (kind == 1) {
      const Trial& other = pool[random() % pool.size()];
      trial.insert(trial.end(), other.begin(), other.end());
    } else if (kind < 4 && !trial.empty()) {
      Change& one = trial[random() % trial.size()];
      one.value = draw_value(one.name, random());
    } else {
      const std::size_t name = random() % names().size();
      trial.push_back({name, draw_value(name, random())});
    }
  }
  constexpr std::size_t kLongest = 64;
  if (trial.size() > kLongest) trial.resize(kLongest);
  return trial;
}

int fuzz(const Asked& asked) {
  std::vector<Trial> pool = read_folder(asked.folder);
  for (const Trial& trial : pool) {
    if (!passes(trial, true)) return EXIT_FAILURE;
  }
  std::cout << pool.size() << " kept trials pass, " << count_reached() << " places reached\n";
  if (pool.empty()) pool.emplace_back();
  std::mt19937_64 random(asked.seed);
  std::size_t most_reached = count_reached();
  const auto begin = std::chrono::steady_clock::now();
  const auto seconds = [&] {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
  };
  long done = 0;
  for (; done < asked.trials || seconds() < asked.seconds; ++done) {
    const Trial trial = change(pool, random);
    if (!passes(trial, true)) return EXIT_FAILURE;
    const std::size_t now = count_reached();
    if (now == most_reached) continue;
    most_reached = now;
    pool.push_back(trial);
    if (asked.keep) write_file(asked.folder / (std::to_string(now) + ".txt"), trial);
  }
  std::cout << done << " trials in " << seconds() << " s pass, " << most_reached
            << " places reached, " << pool.size() << " trials in the pool\n";
  std::filesystem::remove(kFailing);
  return EXIT_SUCCESS;
}

Asked read_words(const std::vector<std::string>& words) {
  Asked asked;
  for (std::size_t k = 0; k < words.size(); ++k) {
    const bool has_value = k + 1 < words.size();
    if (words[k] == "--keep") {
      asked.keep = true;
    } else if (words[k] == "--seconds" && has_value) {
      asked.seconds = std::stod(words[++k]);
    } else if (words[k] == "--trials" && has_value) {
      asked.trials = std::stol(words[++k]);
    } else if (words[k] == "--seed" && has_value) {
      asked.seed = std::stoull(words[++k]);
    } else {
      asked.folder = words[k];
    }
  }
  return asked;
}

}  // namespace
}  // namespace layshaft_fuzz

int main(int count, char** words) {
  const auto asked = layshaft_fuzz::read_words({words + 1, words + count});
  if (!std::filesystem::is_directory(asked.folder)) {
    std::cerr << "usage: layshaft_car_fuzz [--seconds N] [--trials N] [--seed N] [--keep] FOLDER\n";
    return EXIT_FAILURE;
  }
  return layshaft_fuzz::fuzz(asked);
}
