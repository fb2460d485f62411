#include "scheduler/program_help/roff.hpp"

#include <algorithm>

#include "scheduler/base/take_line.hpp"

namespace ampturn::program_help {

namespace {

std::string escaped(std::string_view text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '\\':
                out += "\\e";
                break;
            case '-':
                out += "\\-";
                break;
            case '\'':
                out += "\\(aq";
                break;
            case '`':
                out += "\\(ga";
                break;
            case '^':
                out += "\\(ha";
                break;
            case '~':
                out += "\\(ti";
                break;
            default:
                out += c;
        }
    }
    return out;
}

std::string_view take_word(std::string_view& text) {
    text.remove_prefix(std::min(text.find_first_not_of(" \n"), text.size()));
    const std::string_view word = text.substr(0, text.find_first_of(" \n"));
    text.remove_prefix(word.size());
    return word;
}

}  // namespace

std::string roff_line(std::string_view text) {
    return (!text.empty() && text.front() == '.' ? "\\&" : "") + escaped(text) + "\n";
}

std::string roff_text(std::string_view text) {
    constexpr std::size_t line_max = 78;
    std::string out, line;
    for (std::string_view word = take_word(text); !word.empty(); word = take_word(text)) {
        const std::string next = escaped(word);
        if (!line.empty() && line.size() + 1 + next.size() > line_max) {
            out += line + "\n";
            line.clear();
        }
        if (!line.empty())
            line += " ";
        else if (next.front() == '.')
            line += "\\&";
        line += next;
    }
    return line.empty() ? out : out + line + "\n";
}

std::string roff_paragraphs(std::string_view text) {
    std::string out, prose, examples;
    const auto end_prose = [&] {
        if (!prose.empty()) out += ".PP\n" + roff_text(prose);
        prose.clear();
    };
    const auto end_examples = [&] {
        if (!examples.empty()) out += ".PP\n.RS 4\n.nf\n" + examples + ".fi\n.RE\n";
        examples.clear();
    };
    while (!text.empty()) {
        const std::string_view line = base::take_line(text);
        if (line.starts_with("  ")) {
            end_prose();
            examples += roff_line(line.substr(2));
        } else if (line.empty()) {
            end_prose();
            end_examples();
        } else {
            end_examples();
            prose += std::string(line) + "\n";
        }
    }
    end_prose();
    end_examples();
    return out;
}

}  // namespace ampturn::program_help
