// SPDX-License-Identifier: GPL-3.0-or-later
/*
 * The library from C++: a scenario is read from a file (or the built-in one), every layout is run, and what
 * the library owns is released by std::unique_ptr.
 *
 *   c++ -std=c++17 layouts.cpp $(pkg-config --cflags --libs pushcycle-io) -o layouts
 *   ./layouts scenarios/starter.yaml
 */
#include <cstdio>
#include <cstring>
#include <memory>
#include <pushcycle-io.h>
#include <stdexcept>
#include <string>

namespace {

struct Faults {
  pc_faults list{};
  Faults() = default;
  Faults(const Faults &) = delete;
  Faults &operator=(const Faults &) = delete;
  ~Faults() {
    pc_faults_free(&list);
  }

  /* Shows cautions, throws the first fault. */
  void check(pc_status status) const {
    for (size_t i = 0; i < list.count; i++) {
      char text[PC_ERROR_TEXT_MAX];
      pc_error_format(&list.items[i], text, sizeof text);
      if (!list.items[i].caution)
        throw std::runtime_error(text);
      std::fprintf(stderr, "caution: %s\n", text);
    }
    if (status != PC_OK)
      throw std::runtime_error(pc_status_describe(status));
  }
};

class Scenario {
public:
  explicit Scenario(const char *path) {
    Faults faults;
    const char *demo = pc_demo_scenario();
    faults.check(
        path ? pc_scenario_read(path, nullptr, 0, &held, &faults.list)
             : pc_scenario_read_text("demo", demo, std::strlen(demo), nullptr, 0, &held, &faults.list));
  }
  Scenario(const Scenario &) = delete;
  Scenario &operator=(const Scenario &) = delete;
  ~Scenario() {
    pc_scenario_free(&held);
  }
  const pc_scenario *operator->() const {
    return &held;
  }

  using Lot = std::unique_ptr<pc_lot, decltype(&pc_lot_free)>;
  Lot lot(const char *layout) const {
    pc_choice choice = pc_choice_default();
    choice.layout = layout;
    pc_lot *made = nullptr;
    Faults faults;
    faults.check(pc_lot_create(&held, &choice, &made, &faults.list));
    return Lot(made, pc_lot_free);
  }

private:
  pc_scenario held{};
};

double minutes(const pc_lot *lot, const pc_chance &chance) {
  pc_summary summary{};
  const pc_status status = pc_replicate(lot, static_cast<size_t>(chance.replications),
                                        static_cast<uint64_t>(chance.seed), 0, nullptr, &summary);
  if (status != PC_OK)
    throw std::runtime_error(pc_status_describe(status));
  const double mean_s = summary.total_time_s.mean;
  pc_summary_free(&summary);
  return mean_s / 60.0;
}

} // namespace

int main(int argc, char **argv) {
  static_assert(PC_VERSION_AT_LEAST(0, 1, 0), "headers of pushcycle 0.1.0 or later");
  try {
    const Scenario scenario(argc > 1 ? argv[1] : nullptr);
    for (size_t i = 0; i < scenario->layout_count; i++) {
      const char *name = scenario->layouts[i].name.text;
      const Scenario::Lot lot = scenario.lot(name);
      std::printf("%-20s %6.1f min\n", name, minutes(lot.get(), scenario->chance));
    }
  } catch (const std::exception &wrong) {
    std::fprintf(stderr, "layouts: %s\n", wrong.what());
    return 2;
  }
  return 0;
}
