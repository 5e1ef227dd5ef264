// SPDX-License-Identifier: Apache-2.0
// Exact definitions: foot 0.3048 m, US survey foot 1200/3937 m, inch 0.0254 m, mile 5280 ft, acre 43,560
// square feet, hectare 10,000 m² (NIST Special Publication 811, appendix B); degree Fahrenheit 5/9 K from
// 459.67 below its zero.
#include "io/quantity.hpp"

#include <gtest/gtest.h>

#include <clocale>
#include <cstdlib>
#include <numbers>
#include <string>

#include "sim/errors.hpp"

namespace lielow {
namespace {

using enum Dimension;

std::string refusal(std::string_view text, Dimension dimension) {
    try {
        const double value = parse_quantity(text, dimension);
        return "accepted as " + std::to_string(value);
    } catch (const InputError& error) {
        return error.what();
    }
}

TEST(Quantity, LengthsFollowTheExactFactors) {
    EXPECT_DOUBLE_EQ(parse_quantity("20 ft", length), 20 * 0.3048);
    EXPECT_DOUBLE_EQ(parse_quantity("2.8 in", length), 2.8 * 0.0254);
    EXPECT_DOUBLE_EQ(parse_quantity("3937 US_survey_foot", length), 1200.0);
    EXPECT_DOUBLE_EQ(parse_quantity("3937 us-ft", length), 1200.0);
    EXPECT_DOUBLE_EQ(parse_quantity("1 mi", length), 5280 * 0.3048);
    EXPECT_DOUBLE_EQ(parse_quantity("5 m", length), 5.0);
    EXPECT_DOUBLE_EQ(parse_quantity("1.5 km", length), 1500.0);
    EXPECT_DOUBLE_EQ(parse_quantity("0 ft", length), 0.0);
}

TEST(Quantity, FarmSpellings) {
    for (const char* text : {"20ft", "20 feet", "20 foot", "20 FT", " 20  ft ", "+20 ft", "2e1 ft"})
        EXPECT_DOUBLE_EQ(parse_quantity(text, length), 20 * 0.3048) << text;
    for (const char* text : {"31 degF", "31 °F", "31 ºF", "31 F", "31 deg F", "31 f"})
        EXPECT_NEAR(parse_quantity(text, temperature), (31 + 459.67) * 5 / 9, 1e-10) << text;
    for (const char* text : {"-4 degC", "-4 °C", "-4 C", "\u22124 C"})
        EXPECT_NEAR(parse_quantity(text, temperature), 269.15, 1e-10) << text;
    for (const char* text : {"2 in", "2 inch", "2 inches", "2 IN"})
        EXPECT_DOUBLE_EQ(parse_quantity(text, length), 0.0508) << text;
}

TEST(Quantity, AcreIs43560SquareFeet) {
    const double acre = 43560 * 0.3048 * 0.3048;
    EXPECT_DOUBLE_EQ(parse_quantity("1 acre", area), acre);
    EXPECT_DOUBLE_EQ(parse_quantity("2.5 acres", area), 2.5 * acre);
    EXPECT_DOUBLE_EQ(parse_quantity("43560 sq ft", area), acre);
    EXPECT_DOUBLE_EQ(parse_quantity("1 ha", area), 10000.0);
}

TEST(Quantity, TemperatureDifferencesHaveNoZeroPoint) {
    EXPECT_NEAR(parse_quantity("1.8 degF", temperature_difference), 1.0, 1e-12);
    EXPECT_NEAR(parse_quantity("2 F", temperature_difference), 10.0 / 9.0, 1e-12);
    EXPECT_NEAR(parse_quantity("3 degC", temperature_difference), 3.0, 1e-12);
    EXPECT_NEAR(parse_quantity("1 K", temperature_difference), 1.0, 1e-12);
    EXPECT_NEAR(parse_quantity("32 degF", temperature), 273.15, 1e-10);
}

TEST(Quantity, OtherDimensions) {
    for (const char* text : {"15 W/m2", "15 W m-2", "15 W/m^2", "15 W/m²"})
        EXPECT_DOUBLE_EQ(parse_quantity(text, irradiance), 15.0) << text;
    EXPECT_DOUBLE_EQ(parse_quantity("0.04 m2/s", diffusivity), 0.04);
    EXPECT_DOUBLE_EQ(parse_quantity("-5 h", time), -18000.0);
    EXPECT_DOUBLE_EQ(parse_quantity("90 min", time), 5400.0);
    EXPECT_DOUBLE_EQ(parse_quantity("10 mph", speed), 10 * 1609.344 / 3600);
    EXPECT_DOUBLE_EQ(parse_quantity("10 kn", speed), 10 * 1852.0 / 3600);
    EXPECT_NEAR(parse_quantity("300 psi", Dimension::pressure), 300 * 6894.757, 1.0);
    EXPECT_DOUBLE_EQ(parse_quantity("2 MPa", Dimension::pressure), 2e6);
    EXPECT_NEAR(parse_quantity("180 deg", angle), std::numbers::pi, 1e-15);
}

TEST(Quantity, ReadsPointsWhereTheMachineWritesCommas) {
    const std::string folder = testing::TempDir() + "lielow_locale";
    const std::string make =
        "mkdir -p " + folder + " && localedef -i de_DE -f UTF-8 " + folder + "/de_DE.UTF-8 2>/dev/null";
    if (std::system(make.c_str()) != 0) GTEST_SKIP() << "localedef can't make a German locale here";
    setenv("LOCPATH", folder.c_str(), 1);
    ASSERT_NE(std::setlocale(LC_ALL, "de_DE.UTF-8"), nullptr);
    ASSERT_STREQ(std::localeconv()->decimal_point, ",");
    const double inches = parse_quantity("2.8 in", length);
    EXPECT_STREQ(std::localeconv()->decimal_point, ",");
    std::setlocale(LC_ALL, "C");
    EXPECT_DOUBLE_EQ(inches, 2.8 * 0.0254);
}

TEST(Quantity, RefusesABareNumberWithAHint) {
    EXPECT_EQ(refusal("20", length), R"("20" has no unit; write "20 ft" or "6 m")");
    EXPECT_EQ(refusal("48 ", temperature), R"("48 " has no unit; write "48 degF" or "9 degC")");
}

TEST(Quantity, RefusesAnUnknownUnitAndNamesCommonOnes) {
    EXPECT_EQ(
        refusal("20 fete", length),
        R"("20 fete" has the unit "fete", which is not known; write a length in ft, in, mi, m, cm, mm or km)");
}

TEST(Quantity, RefusesAnotherDimension) {
    EXPECT_EQ(refusal("12 degF", length),
              R"("12 degF" is not a length; write it in ft, in, mi, m, cm, mm or km)");
    EXPECT_EQ(refusal("12 F", length), R"("12 F" is not a length; write it in ft, in, mi, m, cm, mm or km)");
    EXPECT_EQ(refusal("20 ft", temperature), R"("20 ft" is not a temperature; write it in degF, degC or K)");
    // UDUNITS would turn these around into 0.2 s and 0.05 m.
    EXPECT_EQ(refusal("5 Hz", time), R"("5 Hz" is not a time; write it in s, min, h or days)");
    EXPECT_EQ(refusal("20 m-1", length),
              R"("20 m-1" is not a length; write it in ft, in, mi, m, cm, mm or km)");
}

TEST(Quantity, RefusesWhatIsNotOneFiniteNumber) {
    EXPECT_EQ(refusal("nan ft", length), R"("nan ft" is not a finite number; write "20 ft" or "6 m")");
    EXPECT_EQ(refusal("inf ft", length), R"("inf ft" is not a finite number; write "20 ft" or "6 m")");
    EXPECT_EQ(refusal("1e308 km", length), R"("1e308 km" is too large to reckon with)");
    EXPECT_EQ(refusal("1,000 ft", length),
              R"("1,000 ft" has a comma in its number; write 1000 or 0.5, such as "20 ft" or "6 m")");
    EXPECT_EQ(refusal("ft", length),
              R"("ft" does not begin with a number; write a length such as "20 ft" or "6 m")");
    EXPECT_EQ(refusal("", length),
              R"("" does not begin with a number; write a length such as "20 ft" or "6 m")");
}

TEST(Quantity, RefusesNumbersInsideTheUnit) {
    for (const char* text : {"20 2 ft", "20 ft 2", "1 1/2 in", "1/2 ft", "20 ft @ 10", "20 ft since 1990",
                             "20 ft.2", "20 ft 6 in"})
        EXPECT_NE(refusal(text, length).find("which is not known"), std::string::npos)
            << text << ": " << refusal(text, length);
}

}  // namespace
}  // namespace lielow
