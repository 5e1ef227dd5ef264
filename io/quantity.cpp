// SPDX-License-Identifier: Apache-2.0
#include "io/quantity.hpp"

#include <fmt/format.h>
#include <locale.h>
#include <udunits2.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <memory>
#include <mutex>
#include <utility>

#include "io/number_text.hpp"
#include "sim/errors.hpp"

namespace lielow {
namespace {

template <class T, void (*release)(T*)>
struct Release {
    void operator()(T* thing) const { release(thing); }
};
using UnitSystem = std::unique_ptr<ut_system, Release<ut_system, ut_free_system>>;
using Unit = std::unique_ptr<ut_unit, Release<ut_unit, ut_free>>;
using Converter = std::unique_ptr<cv_converter, Release<cv_converter, cv_free>>;

/// Spellings that UDUNITS doesn't know or takes for something else: its F is the farad, its C the coulomb,
/// its mph a milliphot, its acre that of the survey foot, given up in 2022.
constexpr std::array<std::pair<std::string_view, std::string_view>, 29> farm_spellings{{
    {"f", "degF"},
    {"°f", "degF"},
    {"ºf", "degF"},
    {"deg f", "degF"},
    {"° f", "degF"},
    {"degf", "degF"},
    {"c", "degC"},
    {"°c", "degC"},
    {"ºc", "degC"},
    {"deg c", "degC"},
    {"° c", "degC"},
    {"degc", "degC"},
    {"ft", "ft"},
    {"feet", "ft"},
    {"foot", "ft"},
    {"in", "inch"},
    {"inches", "inch"},
    {"acre", "43560 ft2"},
    {"acres", "43560 ft2"},
    {"ac", "43560 ft2"},
    {"mile", "mile"},
    {"miles", "mile"},
    {"mph", "mile/hour"},
    {"kn", "knot"},
    {"deg", "degree"},
    {"sq ft", "ft2"},
    {"us-ft", "US_survey_foot"},
    {"us survey ft", "US_survey_foot"},
    {"us survey feet", "US_survey_foot"},
}};

std::string lower_ascii(std::string_view text) {
    std::string lower(text);
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(c < 0x80 ? std::tolower(c) : c); });
    return lower;
}

std::string canonical_unit(std::string_view unit) {
    const std::string lower = lower_ascii(unit);
    const auto* found = std::find_if(farm_spellings.begin(), farm_spellings.end(),
                                     [&](const auto& spelling) { return spelling.first == lower; });
    return std::string(found == farm_spellings.end() ? unit : found->second);
}

/// UDUNITS multiplies numbers inside a unit ("ft 2" is two feet) and shifts by them ("ft @ 10"). Here digits
/// may only be exponents, so that a slip such as "20 1/2 ft" can't pass as something else.
bool is_plain_unit(std::string_view unit) {
    char before = ' ';
    for (const char c : unit) {
        const auto byte = static_cast<unsigned char>(c);
        const bool letter = byte >= 0x80 || std::isalpha(byte) != 0 || c == '_' || c == '%' || c == '\'';
        const bool digit = std::isdigit(byte) != 0;
        const auto was = static_cast<unsigned char>(before);
        if (digit && !(std::isalnum(was) != 0 || before == '^' || before == '-')) return false;
        if (!letter && !digit && std::string_view(" ./*^-").find(c) == std::string_view::npos) return false;
        before = c;
    }
    return true;
}

/// UDUNITS reads its definitions with the locale's decimal sign and fails where that is a comma, as a program
/// that uses this library may have asked for. Holds this thread to the C locale meanwhile.
class PlainNumbers {
  public:
    PlainNumbers() : plain_(newlocale(LC_ALL_MASK, "C", nullptr)), before_(uselocale(plain_)) {}
    ~PlainNumbers() {
        uselocale(before_);
        freelocale(plain_);
    }
    PlainNumbers(const PlainNumbers&) = delete;
    PlainNumbers& operator=(const PlainNumbers&) = delete;

  private:
    locale_t plain_;
    locale_t before_;
};

const ut_system* unit_system() {
    static const UnitSystem system = [] {
        ut_set_error_message_handler(ut_ignore);
        return UnitSystem(ut_read_xml(nullptr));
    }();
    if (!system)
        throw RunError("the definitions of units can't be read; is the package libudunits2-data installed?");
    return system.get();
}

/// Null when the unit isn't known or is of another dimension, with `known` telling which.
Converter converter_to_si(const std::string& unit, Dimension dimension, bool& known) {
    const ut_system* system = unit_system();
    const Unit from(ut_parse(system, unit.c_str(), UT_UTF8));
    known = from != nullptr;
    if (!known) return nullptr;
    const Unit si(ut_parse(system, std::string(words_for(dimension).si_unit).c_str(), UT_UTF8));
    Converter converter(ut_get_converter(from.get(), si.get()));
    // UDUNITS also turns 1/m into m by taking the reciprocal, which is infinite at nought.
    if (converter && !std::isfinite(cv_convert_double(converter.get(), 0.0))) converter.reset();
    return converter;
}

double to_si(double number, std::string_view unit, Dimension dimension, std::string_view text) {
    static std::mutex one_at_a_time;  // UDUNITS keeps its parser's state in globals
    const std::lock_guard lock(one_at_a_time);
    const PlainNumbers plain;
    const DimensionWords& words = words_for(dimension);
    bool known = false;
    const Converter converter =
        is_plain_unit(unit) ? converter_to_si(canonical_unit(unit), dimension, known) : Converter();
    if (!converter && known)
        throw InputError(
            fmt::format("\"{}\" is not {}; write it in {}", text, words.name, words.common_units));
    if (!converter)
        throw InputError(fmt::format("\"{}\" has the unit \"{}\", which is not known; write {} in {}", text,
                                     unit, words.name, words.common_units));
    const double value = cv_convert_double(converter.get(), number);
    if (dimension != Dimension::temperature_difference) return value;
    return value - cv_convert_double(converter.get(), 0.0);
}

}  // namespace

const DimensionWords& words_for(Dimension dimension) {
    static constexpr std::array<DimensionWords, 11> words{{
        {"a length", "m", "ft, in, mi, m, cm, mm or km", R"("20 ft" or "6 m")"},
        {"an area", "m2", "acre, ft2, ha or m2", R"("0.1 acre" or "400 m2")"},
        {"a time", "s", "s, min, h or days", R"("2 h" or "30 min")"},
        {"a speed", "m/s", "mph, ft/s, m/s or km/h", R"("5 mph" or "2 m/s")"},
        {"an angle", "radian", "deg or radian", R"("3 deg" or "0.05 radian")"},
        {"a temperature", "K", "degF, degC or K", R"("48 degF" or "9 degC")"},
        {"a temperature difference", "K", "degF, degC or K", R"("2 degF" or "1 K")"},
        {"a heat flux", "W/m2", "W/m2", R"("15 W/m2")"},
        {"a diffusivity", "m2/s", "m2/s or ft2/s", R"("0.04 m2/s")"},
        {"a power", "W", "kW, W, MW or Btu/h", R"("60 kW" or "200000 Btu/h")"},
        {"a pressure", "Pa", "psi, kPa, MPa or bar", R"("300 psi" or "2 MPa")"},
    }};
    return words.at(static_cast<std::size_t>(dimension));
}

double parse_quantity(std::string_view text, Dimension dimension) {
    const DimensionWords& words = words_for(dimension);
    std::string_view rest = text;
    const auto number = take_number(rest);
    if (!number)
        throw InputError(fmt::format("\"{}\" does not begin with a number; write {} such as {}", text,
                                     words.name, words.example));
    if (rest.starts_with(','))
        throw InputError(fmt::format("\"{}\" has a comma in its number; write 1000 or 0.5, such as {}", text,
                                     words.example));
    if (!std::isfinite(*number))
        throw InputError(fmt::format("\"{}\" is not a finite number; write {}", text, words.example));
    rest = trim(rest);
    if (rest.empty()) throw InputError(fmt::format("\"{}\" has no unit; write {}", text, words.example));
    const double value = to_si(*number, rest, dimension, text);
    if (!std::isfinite(value)) throw InputError(fmt::format("\"{}\" is too large to reckon with", text));
    return value;
}

}  // namespace lielow
