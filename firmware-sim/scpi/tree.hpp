#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "firmware-sim/scpi/lexer.hpp"

namespace ampturn::sim::scpi {

/// The commands an instrument knows, as patterns in the notation of SCPI-99: "[SOURce]:LIST:FREQuency".
/// Capitals are the short form; a node in brackets may be left out. Queries are separate entries ending in '?'.
class Tree {
  public:
    /// `id` is handed back by find(). Patterns are our own constants: one that repeats an earlier one or has
    /// no node stops the program (std::logic_error). Where two fit a header, the first added wins.
    void add(std::string_view pattern, int id);

    /// Where relative headers continue: the path of the last header without its last mnemonic
    /// (SCPI-99, volume 1, 6.2.4). Starts at the root with every message; common commands leave it alone.
    class Position {
      public:
        void reset() { path_.clear(); }

      private:
        friend class Tree;
        std::vector<std::string> path_;
    };

    /// The id of the command or none. Moves `position` when found. A numeric suffix of 1 on a mnemonic is none at all
    /// (SCPI-99, volume 1, 6.2.5.2).
    std::optional<int> find(const Command& command, Position& position) const;
    /// Of a header that is not found: it would be with other numeric suffixes (-114), else it is undefined (-113).
    bool suffix_is_wrong(const Command& command, const Position& position) const;

    /// Every pattern, in the order added: SYSTem:HELP:HEADers? and the manual's test read it.
    const std::vector<std::string>& patterns() const { return patterns_; }

  private:
    struct Node {
        std::string long_form, short_form;
        bool optional = false;
        bool matches(std::string_view word, bool any_suffix) const;
    };
    struct Entry {
        std::vector<Node> nodes;
        bool query = false;
        int id = 0;
    };
    static bool matches(const std::vector<Node>& nodes, std::size_t node,
                        const std::vector<std::string>& words, std::size_t word, bool any_suffix);
    const Entry* entry_of(const Command& command, const std::vector<std::string>& path,
                          bool any_suffix) const;
    static std::vector<std::string> path_of(const Command& command, const Position& position);

    std::vector<Entry> entries_;
    std::vector<std::string> patterns_;
};

/// True if `word` (upper case) is the long or the short form written as "MAXimum".
bool is_form_of(std::string_view word, std::string_view pattern);

}  // namespace ampturn::sim::scpi
