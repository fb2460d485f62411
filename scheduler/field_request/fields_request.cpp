#include "scheduler/field_request/fields_request.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "scheduler/base/json.hpp"
#include "scheduler/field_request/field_cases.hpp"
#include "scheduler/field_request/field_points.hpp"
#include "scheduler/field_request/request_node.hpp"
#include "scheduler/field_request/request_parse.hpp"

namespace ampturn::field_request {

namespace {

constexpr const char* a_request = "one case, lists of cases, or points by lists, as JSON";

}  // namespace

FieldsRequest::FieldsRequest(std::string text, const std::string& file)
    : text_{file, std::move(text)}, json_(parse_request(text_, a_request, ReceiverLists::packed)) {
    const Node root(json_, "", text_);
    if (!json_.is_object()) root.complain(root.short_text(), "an object");
    // An answer to cases repeats the request, also what means nothing there.
    if (!asks_for_points(root) && root.has("receivers")) json_ = parse_request(text_, a_request);
}

std::optional<FieldPoints> FieldsRequest::points(std::optional<GroundList> list) {
    const Node root(json_, "", text_);
    if (!asks_for_points(root)) return std::nullopt;
    return field_points_of(json_, text_, std::move(list));
}

FieldsAnswer FieldsRequest::answer(unsigned threads) && {
    const Node root(json_, "", text_);
    if (asks_for_points(root)) root.complain("points by lists", "cases, which --check compares");
    FieldsAnswer answer = answer_cases(json_, text_, threads);
    answer.json = base::json_text(std::move(json_), 1);
    return answer;
}

bool all_hold(const FieldsAnswer& answer) {
    return std::all_of(answer.comparisons.begin(), answer.comparisons.end(),
                       [](const FieldsComparison& c) { return c.holds(); });
}

std::string describe_comparisons(const FieldsAnswer& answer) {
    if (answer.comparisons.empty())
        return fmt::format("{} cases computed; none came with reference outputs to compare with\n",
                           answer.case_count);
    std::string text;
    std::size_t held = 0;
    const FieldsComparison* worst = nullptr;
    double worst_ratio = -1;
    for (const FieldsComparison& c : answer.comparisons) {
        held += c.holds();
        const double ratio = std::max(c.e_error_rel, c.h_error_rel) / c.allowed_rel;
        if (!c.holds())
            text += fmt::format("{}: E {:.2g}, H {:.2g} of the vector; allowed {:.2g}\n", c.id, c.e_error_rel,
                                c.h_error_rel, c.allowed_rel);
        if (!(ratio <= worst_ratio)) {
            worst_ratio = ratio;
            worst = &c;
        }
    }
    text += fmt::format("{} of {} cases compared are within tolerance ({} computed)\n", held,
                        answer.comparisons.size(), answer.case_count);
    text += fmt::format("worst: {}: E {:.2g}, H {:.2g} of the vector; allowed {:.2g}\n", worst->id,
                        worst->e_error_rel, worst->h_error_rel, worst->allowed_rel);
    return text;
}

}  // namespace ampturn::field_request
