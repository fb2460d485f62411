#pragma once

#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <vector>

/// A strict reader of SEG EDI magnetotelluric sections (Wight 1988; block list in
/// tests/reference/field/format_edi_minimum.csv, from memory where it says so). Throws std::runtime_error at
/// whatever is out of order, missing, doubled, or counted wrong.
class EdiFile {
  public:
    explicit EdiFile(const std::string& text) {
        std::istringstream in(text);
        std::string line;
        while (std::getline(in, line)) {
            for (const char c : line)
                if (c < ' ' || c > '~') fail("a character that is not printable ASCII", line);
            if (ended_ && !line.empty()) fail("text after >END", line);
            if (!line.empty() && line[0] == '>')
                open(line);
            else
                content(line);
        }
        close_data();
        if (!ended_) throw std::runtime_error("no >END");
        check_complete();
    }

    const std::string& option(const std::string& block, const std::string& key) const {
        return options_.at(block).at(key);
    }
    const std::vector<double>& data(const std::string& block) const { return data_.at(block); }
    const std::string& info() const { return info_; }
    const std::vector<std::map<std::string, std::string>>& measurements() const { return measurements_; }

  private:
    [[noreturn]] static void fail(const std::string& what, const std::string& line) {
        throw std::runtime_error(what + ": " + line);
    }

    static std::map<std::string, std::string> options_of(const std::string& text) {
        std::map<std::string, std::string> result;
        std::istringstream words(text);
        for (std::string word; words >> word;) {
            const std::size_t equals = word.find('=');
            if (equals == std::string::npos || equals == 0) fail("an option without a value", text);
            if (!result.emplace(word.substr(0, equals), word.substr(equals + 1)).second) fail("twice", text);
        }
        return result;
    }

    void open(const std::string& line) {
        close_data();
        std::istringstream words(line);
        words >> block_;
        static const std::vector<std::string> order{">HEAD",    ">INFO", ">=DEFINEMEAS",
                                                    ">=MTSECT", ">FREQ", ">END"};
        for (std::size_t i = 0; i < order.size(); ++i)
            if (block_ == order[i]) {
                if (i != stage_) fail("out of order", line);
                ++stage_;
            }
        std::string rest;
        std::getline(words, rest);
        if (block_ == ">HMEAS" || block_ == ">EMEAS") {
            if (stage_ != 3) fail("outside DEFINEMEAS", line);
            measurements_.push_back(options_of(rest));
            measurements_.back()["BLOCK"] = block_;
        } else if (stage_ == 5) {  // data
            const std::size_t count = rest.find("//");
            if (count == std::string::npos) fail("no count", line);
            expected_ = std::stoul(rest.substr(count + 2));
            options_[block_] = options_of(rest.substr(0, count));
            if (data_.contains(block_)) fail("twice", line);
            data_[block_] = {};
            in_data_ = true;
        } else if (block_ == ">INFO") {
            options_[block_] = options_of(rest);
        } else if (block_ == ">END") {
            ended_ = true;
        }
    }

    void content(const std::string& line) {
        if (in_data_) {
            std::istringstream numbers(line);
            for (std::string word; numbers >> word;) {
                std::size_t used = 0;
                data_[block_].push_back(std::stod(word, &used));
                if (used != word.size()) fail("not a number", line);
            }
        } else if (block_ == ">INFO") {
            if (!line.empty()) {
                info_ += line + '\n';
                ++info_lines_;
            }
        } else if (line.find_first_not_of(' ') != std::string::npos) {
            if (block_ != ">HEAD" && block_ != ">=DEFINEMEAS" && block_ != ">=MTSECT")
                fail("stray text", line);
            const std::string trimmed = line.substr(line.find_first_not_of(' '));
            const std::size_t equals = trimmed.find('=');
            if (equals == std::string::npos) fail("not KEY=VALUE", line);
            std::string value = trimmed.substr(equals + 1);
            if (!value.empty() && value.front() == '"') {
                if (value.size() < 2 || value.back() != '"') fail("an open quote", line);
                value = value.substr(1, value.size() - 2);
            } else if (value.find(' ') != std::string::npos) {
                fail("a space outside quotes", line);
            }
            if (!options_[block_].emplace(trimmed.substr(0, equals), value).second) fail("twice", line);
        }
    }

    void close_data() {
        if (!in_data_) return;
        if (data_[block_].size() != expected_) fail("count does not match", block_);
        in_data_ = false;
    }

    void check_complete() const {
        for (const char* key : {"DATAID", "ACQBY", "FILEBY", "ACQDATE", "FILEDATE", "LAT", "LONG", "ELEV",
                                "STDVERS", "PROGVERS", "PROGDATE"})
            if (!options_.at(">HEAD").contains(key)) fail("HEAD lacks", key);
        for (const char* key :
             {"MAXCHAN", "MAXRUN", "MAXMEAS", "UNITS", "REFTYPE", "REFLAT", "REFLONG", "REFELEV"})
            if (!options_.at(">=DEFINEMEAS").contains(key)) fail("DEFINEMEAS lacks", key);
        if (std::stoul(options_.at(">INFO").at("MAXINFO")) < info_lines_) fail("more INFO than MAXINFO", "");
        if (measurements_.size() != 5) fail("not five measurements", "");
        const auto& section = options_.at(">=MTSECT");
        for (const auto& m : measurements_)
            if (section.at(m.at("CHTYPE")) != m.at("ID")) fail("MTSECT does not point at", m.at("ID"));
        const std::size_t n = std::stoul(section.at("NFREQ"));
        for (const char* block :
             {">FREQ",    ">ZROT",    ">ZXXR",      ">ZXXI",    ">ZXX.VAR", ">ZXYR",     ">ZXYI",
              ">ZXY.VAR", ">ZYXR",    ">ZYXI",      ">ZYX.VAR", ">ZYYR",    ">ZYYI",     ">ZYY.VAR",
              ">TXR.EXP", ">TXI.EXP", ">TXVAR.EXP", ">TYR.EXP", ">TYI.EXP", ">TYVAR.EXP"})
            if (data_.at(block).size() != n) fail("not NFREQ values", block);
        for (const auto& [block, values] : data_)
            if (block.starts_with(">Z") && block != ">ZROT" && options_.at(block).at("ROT") != "ZROT")
                fail("without ROT=ZROT", block);
    }

    std::string block_, info_;
    std::size_t stage_ = 0, expected_ = 0, info_lines_ = 0;
    bool in_data_ = false, ended_ = false;
    std::map<std::string, std::map<std::string, std::string>> options_;
    std::vector<std::map<std::string, std::string>> measurements_;
    std::map<std::string, std::vector<double>> data_;
};
