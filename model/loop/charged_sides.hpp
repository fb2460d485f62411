#pragma once

#include <array>
#include <cstddef>
#include <vector>

#include "model/loop/loop.hpp"

namespace ampturn::model::loop {

/// Straight sides with charges spread evenly on them, ready for the field of all of them at many points. The field is added up in
/// the same order whatever the machine's vectors.
class ChargedSides {
  public:
    /// `charge` per metre, over 4 pi eps0.
    void add(const LoopPoint& from, const LoopPoint& to, double charge);
    /// Once all are added.
    void finish();
    /// The field's size, at a point off the sides.
    double field(const LoopPoint& at) const;

  private:
    // x, y, z of the near end, of the far end, of the direction; least square of the distance across; charge.
    static constexpr std::size_t columns = 11;
    std::array<std::vector<double>, columns> column_;
};

}  // namespace ampturn::model::loop
