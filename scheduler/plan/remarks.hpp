#pragma once

#include <string>
#include <vector>

#include "scheduler/plan/plan.hpp"

namespace ampturn::plan {

/// Something that is allowed and yet worth a second look.
struct Remark {
    base::Position position;
    std::string key;
    std::string text;
};

/// By line, what came first on a line first.
std::vector<Remark> in_order_of_the_file(std::vector<Remark> remarks);

/// Collects remarks on the keys of a plan.
class Remarks {
  public:
    explicit Remarks(const Plan& plan) : plan_(plan) {}
    void add(const std::string& key, std::string text);
    std::vector<Remark> sorted() &&;

  private:
    const Plan& plan_;
    std::vector<Remark> remarks_;
};

}  // namespace ampturn::plan
