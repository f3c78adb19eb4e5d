// The commands. Each adds itself to the program and, when chosen, puts its exit status in `status`.
#pragma once

#include <CLI/CLI.hpp>

namespace settle::cli {

void add_run_command(CLI::App& program, int& status);
void add_table_command(CLI::App& program, int& status);
void add_states_command(CLI::App& program, int& status);
void add_explain_command(CLI::App& program, int& status);
void add_draw_command(CLI::App& program, int& status);
void add_timing_command(CLI::App& program, int& status);
void add_margin_command(CLI::App& program, int& status);
void add_sweep_command(CLI::App& program, int& status);
void add_resolve_command(CLI::App& program, int& status);
void add_compare_command(CLI::App& program, int& status);
void add_convert_command(CLI::App& program, int& status);
void add_wire_command(CLI::App& program, int& status);
void add_report_command(CLI::App& program, int& status);
void add_check_command(CLI::App& program, int& status);
void add_try_command(CLI::App& program, int& status);
void add_help_command(CLI::App& program, int& status);
void add_completion_command(CLI::App& program, int& status);
void add_diagnose_command(CLI::App& program, int& status);

}  // namespace settle::cli
