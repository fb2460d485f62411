#include "firmware-sim/panel/assets.hpp"

#include <algorithm>

#include "embedded/panel.hpp"

namespace ampturn::sim::panel {

std::span<const Asset> assets() {
    constexpr std::string_view html = "text/html; charset=utf-8";
    constexpr std::string_view css = "text/css; charset=utf-8";
    constexpr std::string_view script = "text/javascript; charset=utf-8";
    namespace file = embedded::panel;
    static const Asset all[] = {
        {"/", html, file::front()},
        {"/instructor", html, file::instructor()},
        {"/debrief", html, file::debrief()},
        {"/receiver", html, file::receiver()},
        {"/course", html, file::course()},
        {"/style.css", css, file::style()},
        {"/link.js", script, file::link_js()},
        {"/stopbar.js", script, file::stopbar_js()},
        {"/keys.js", script, file::keys_js()},
        {"/receiver.js", script, file::receiver_js()},
        {"/course.js", script, file::course_js()},
        {"/front.js", script, file::front_js()},
        {"/charts.js", script, file::charts_js()},
        {"/sounder.js", script, file::sounder_js()},
        {"/instructor.js", script, file::instructor_js()},
        {"/debrief.js", script, file::debrief_js()},
        {"/icon.svg", "image/svg+xml", file::icon()},
        {"/echarts.min.js", script, file::echarts()},
        {"/echarts-notice.txt", "text/plain; charset=utf-8", file::echarts_notice()},
    };
    return all;
}

const Asset* asset_at(std::string_view path) {
    const auto found = std::find_if(assets().begin(), assets().end(),
                                    [&](const Asset& asset) { return asset.path == path; });
    return found == assets().end() ? nullptr : &*found;
}

}  // namespace ampturn::sim::panel
