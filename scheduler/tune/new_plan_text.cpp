#include "scheduler/tune/new_plan_text.hpp"

#include <algorithm>
#include <utility>

#include "scheduler/base/input_error.hpp"
#include "scheduler/plan/file/config.hpp"

namespace ampturn::tune {

namespace {

constexpr std::string_view blank = " \t\r";

std::string_view trimmed(std::string_view line) {
    const std::size_t first = line.find_first_not_of(blank);
    if (first == std::string_view::npos) return {};
    return line.substr(first, line.find_last_not_of(blank) - first + 1);
}

/// The first name of a header, "sweep" of [[sweep.step]]; empty for any other line.
std::string_view table_of_header(std::string_view line) {
    line = trimmed(line);
    if (!line.starts_with('[')) return {};
    const std::size_t first = line.find_first_not_of("[ \t");
    const std::size_t past =
        line.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_-", first);
    if (first == std::string_view::npos || past == std::string_view::npos || past == first) return {};
    const std::size_t next = line.find_first_not_of(" \t", past);
    return line[next] == ']' || line[next] == '.' ? line.substr(first, past - first) : std::string_view();
}

/// A stretch of lines of one table; the first may have no header.
struct Stretch {
    std::string table, text;
};

std::vector<Stretch> stretches_of(std::string_view text) {
    std::vector<Stretch> out{{}};
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
        const std::string_view line = text.substr(at, end - at);
        if (const std::string_view table = table_of_header(line.substr(0, line.find_last_not_of('\n') + 1));
            !table.empty() && table != out.back().table) {
            // Comments right above a header belong to it.
            std::string& before = out.back().text;
            std::size_t cut = before.size();
            while (cut > 0) {
                const std::size_t start = cut < 2 ? 0 : before.rfind('\n', cut - 2) + 1;
                if (!trimmed(std::string_view(before).substr(start, cut - 1 - start)).starts_with('#')) break;
                cut = start;
            }
            if (out.size() == 1) cut = before.size();  // the head of the file is no table's
            std::string comments = before.substr(cut);
            before.erase(cut);
            out.push_back({std::string(table), std::move(comments)});
        }
        out.back().text += line;
        at = end;
    }
    return out;
}

std::string comments_of(const std::string& text) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string_view line = trimmed(std::string_view(text).substr(at, end - at));
        if (const std::size_t hash = line.find('#');
            hash != std::string_view::npos && line.find_first_of("\"'") > hash)
            out += std::string(line.substr(hash)) + "\n";
        at = end + 1;
    }
    return out;
}

/// As a line of the header of write_plan() differs between any two plans of different sources.
std::string without_first_line(const std::string& text) { return text.substr(text.find('\n') + 1); }

}  // namespace

NewPlanText new_plan_text(const plan::Plan& plan, std::string_view source,
                          const std::vector<std::string>& changed_tables) {
    const std::string whole = plan::file::write_plan(plan);
    std::vector<std::string> left = changed_tables;
    std::string out;
    const std::vector<Stretch> written = stretches_of(whole);
    const auto written_table = [&](const std::string& table) {
        std::string text;
        for (const Stretch& stretch : written)
            if (stretch.table == table) text += stretch.text;
        return text;
    };
    for (const Stretch& stretch : stretches_of(source)) {
        if (std::find(changed_tables.begin(), changed_tables.end(), stretch.table) == changed_tables.end()) {
            out += stretch.text;
            continue;
        }
        out += comments_of(stretch.text);
        const auto first = std::find(left.begin(), left.end(), stretch.table);
        if (first == left.end()) continue;  // written at its first stretch
        left.erase(std::remove(left.begin(), left.end(), stretch.table), left.end());
        out += written_table(stretch.table) + "\n";
    }
    std::sort(left.begin(), left.end());
    left.erase(std::unique(left.begin(), left.end()), left.end());
    for (const std::string& table : left) out += written_table(table);
    try {
        const plan::Plan back = plan::file::parse_plan(out, plan.source.path);
        if (without_first_line(plan::file::write_plan(back)) == without_first_line(whole)) return {out, true};
    } catch (const base::InputError&) {  // a layout that cannot be taken apart line by line
    }
    return {whole, false};
}

}  // namespace ampturn::tune
