#include "station_agent/calibrate/calibration_out.hpp"

#include <fmt/core.h>

#include <fstream>

#include "station_agent/array/calibration_file.hpp"

namespace fixwright::agent::calibrate {

namespace fs = std::filesystem;

std::string out_problem(const fs::path& path, bool force) {
  std::error_code unknown;
  if (fs::is_directory(path, unknown)) {
    return fmt::format("--out {}: is a folder: give a file in it", path.string());
  }
  if (!force && fs::exists(path, unknown)) {
    return fmt::format("--out {}: is there already: another name, or --force to replace it",
                       path.string());
  }
  const fs::path folder = path.has_parent_path() ? path.parent_path() : fs::path(".");
  if (!fs::is_directory(folder, unknown)) {
    return fmt::format("--out {}: there is no folder {}", path.string(), folder.string());
  }
  return {};
}

std::string write_calibration(const fs::path& path, const array::ArrayCalibration& calibration,
                              bool force) {
  // Again: minutes may have passed since it was asked.
  std::string problem = out_problem(path, force);
  if (!problem.empty()) return problem;
  const fs::path draft = path.string() + ".new";
  std::ofstream file(draft, std::ios::binary | std::ios::trunc);
  file << array::calibration_toml(calibration);
  file.close();
  std::error_code failed;
  if (file) fs::rename(draft, path, failed);
  if (file && !failed) return {};
  std::error_code unknown;
  fs::remove(draft, unknown);
  return fmt::format("--out {}: can't be written: {}", path.string(),
                     failed ? failed.message() : "permission, or a full disk");
}

}  // namespace fixwright::agent::calibrate
