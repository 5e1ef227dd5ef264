// SPDX-License-Identifier: Apache-2.0
// The runs of an ensemble: what each is done with, one of them, and how it is kept.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "tools/site_run.hpp"

namespace lielow {

/// What a run takes times the site's own figures, and which error its DEM has.
struct EnsembleDraw {
    double heat_loss = 1;
    double mixing = 1;
    double conductivity = 1;
    double retention = 1;
    double error_m = 0;  ///< standard error of the DEM
    std::uint64_t error_seed = 0;
};

/// One for each run: a Latin hypercube over the logarithms of the factors; each its own error of the DEM.
std::vector<EnsembleDraw> ensemble_draws(const Site& site);

/// The site as a run of the ensemble sees it, all but the DEM: factors taken, the reference spot held where
/// it is (`reference`, a map position), cells of ensemble.night_cell, and nothing done that the siting
/// doesn't need.
Site drawn_site(const Site& site, const EnsembleDraw& draw, const std::string& reference);

/// Throws InputError when an ensemble is asked for and the DEM's accuracy or the crop isn't given.
void check_ensemble(const Site& site);

/// What is kept of a run.
struct EnsembleMember {
    Field<std::uint8_t> siting;
    Field<std::uint8_t> reason;  ///< as in siting_reason
    Field<float> night_offset;   ///< empty where no night was run
};

/// Runs of the ensemble in a hidden folder of the out directory, .members/KEY. The key is a checksum of all
/// that a run hangs on, so what is found there whole needn't be run again. Runs of other keys are removed.
class MemberStore {
  public:
    explicit MemberStore(const SiteRun& run);

    /// The run `number`, done now if it isn't there whole. Throws InputError, RunError or Interrupted.
    EnsembleMember get(int number, const EnsembleDraw& draw) const;

  private:
    void make(const std::filesystem::path& folder, int number, const EnsembleDraw& draw) const;

    const SiteRun& run_;
    std::string reference_;
    std::filesystem::path folder_;
};

}  // namespace lielow
