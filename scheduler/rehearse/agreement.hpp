#pragma once

#include "scheduler/rehearse/station/result.hpp"

namespace ampturn::rehearse {

/// How scatter, jackknife and planning agree over the measured points added. Points that nobody can compare are passed over:
/// not measured, in a band of the mains, or planned with an error of 30 % or more, where first-order bars mean little.
class AgreementSum {
  public:
    void add(const station::StationFrequencyResult& point);
    station::Agreement value() const;

  private:
    int elements_ = 0;
    double scatter_ = 0, jackknife_ = 0, upper_ = 0, inside_1_ = 0, inside_2_ = 0;
};

}  // namespace ampturn::rehearse
