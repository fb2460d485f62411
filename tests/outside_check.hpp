#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <utility>

namespace ampturn::test {

/// A comparison with something outside the project, as it will stand in docs/validation.md: what is compared, where the
/// other value comes from, how many values, and the error nearest to what is allowed. Fails where a value is off by
/// more than that, and where none was compared. tests/validation_doc runs the tests that hold one and writes the table; it
/// names the file by AMPTURN_OUTSIDE_CHECKS.
class OutsideCheck {
  public:
    /// `unit`: of errors and what is allowed; "relative": to the other's value.
    OutsideCheck(std::string what, std::string source, std::string unit = "relative")
        : what_(std::move(what)), source_(std::move(source)), unit_(std::move(unit)) {}
    OutsideCheck(const OutsideCheck&) = delete;
    OutsideCheck& operator=(const OutsideCheck&) = delete;
    ~OutsideCheck() {
        EXPECT_GT(values_, 0) << what_ << ": nothing was compared";
        const char* path = std::getenv("AMPTURN_OUTSIDE_CHECKS");
        if (path == nullptr || values_ == 0) return;
        const testing::TestInfo* test = testing::UnitTest::GetInstance()->current_test_info();
        std::ofstream(path, std::ios::app)
            << nlohmann::json({{"what", what_},
                               {"source", source_},
                               {"unit", unit_},
                               {"values", values_},
                               {"worst", worst_},
                               {"allowed", allowed_},
                               {"where", where_},
                               {"test", std::string(test->test_suite_name()) + "." + test->name()}})
                   .dump()
            << '\n';
    }

    /// One value with its error, not negative, and the most it may be.
    void error(double size, double allowed, const std::string& where) {
        EXPECT_LE(size, allowed) << what_ << ", " << where;
        if (values_++ == 0 || size * allowed_ > worst_ * allowed || std::isnan(size))
            worst_ = size, allowed_ = allowed, where_ = where;
    }
    void relative(double ours, double other, double allowed_rel, const std::string& where) {
        error(std::abs(ours / other - 1), allowed_rel, where);
    }
    void absolute(double ours, double other, double allowed, const std::string& where) {
        error(std::abs(ours - other), allowed, where);
    }

  private:
    std::string what_, source_, unit_, where_;
    int values_ = 0;
    double worst_ = 0, allowed_ = 0;
};

}  // namespace ampturn::test
