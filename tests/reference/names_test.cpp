// Tables that are looked up by name: insulation, places, terminal stamps; and how a source is printed.
#include "reference/insulation.hpp"
#include "reference/places.hpp"
#include "reference/source.hpp"
#include "reference/stamps.hpp"

#include <set>
#include <string>

#include <doctest/doctest.h>

namespace loomproof::reference {
namespace {

double class_of(std::string_view name) { return find_insulation(name).value().rating.degrees; }

TEST_CASE("insulation classes of ISO 6722 and SAE J1128") {
    // ISO 6722 / ISO 19642 classes as a car maker's cable standard prints them; SAE types from wire dealers and a test
    // laboratory's summary of J1128-2020.
    const std::pair<const char*, double> rows[] = {
        {"class A", 85},  {"class B", 100}, {"class C", 125}, {"class D", 150}, {"class E", 175},
        {"class F", 200}, {"class G", 225}, {"class H", 250}, {"FLRY", 105},    {"SXL", 125},
        {"GXL", 125},     {"TXL", 125},     {"TWP", 105},     {"GPT", 80},
    };
    for (const auto& [name, degrees] : rows) CHECK(class_of(name) == degrees);
    CHECK(class_of("flry-b") == 105);
    CHECK(class_of("pvc85") == 85);
    CHECK(class_of("PVC 85 degC") == 85);
    CHECK(class_of("PVC 105") == 105);
    CHECK(class_of("gxl") == 125);
    CHECK_FALSE(find_insulation("PVC"));
    CHECK_FALSE(find_insulation("XYZ"));
    CHECK_FALSE(find_insulation(""));
    // Sources differ on GPT (80 and 85): the lower figure, and a note that says so.
    CHECK(find_insulation("GPT").value().note != "");
}

TEST_CASE("temperatures that insulation stands once") {
    // IEC 60364-5-54: PVC 160, XLPE 250, rubber 60 C class 200, 85 C class 220, silicone 350.
    const auto limit = [](const char* name) {
        const InsulationKind kind = find_insulation(name).value();
        return short_time_limit(kind.material, kind.rating);
    };
    CHECK(limit("FLRY").value().degrees == 160);
    CHECK(limit("GPT").value().degrees == 160);
    CHECK(limit("GXL").value().degrees == 250);
    CHECK(limit("rubber 60").value().degrees == 200);
    CHECK(limit("rubber 85").value().degrees == 220);
    CHECK(limit("silicone 180").value().degrees == 350);
    CHECK(limit("class B").value().degrees == 160);
    CHECK(limit("class C").value().degrees == 160);
    CHECK_FALSE(limit("class D"));
    for (const InsulationKind& kind : insulation_kinds()) {
        CAPTURE(kind.name);
        const auto once = short_time_limit(kind.material, kind.rating);
        if (once) CHECK(*once > kind.rating);
    }
}

TEST_CASE("places have temperatures and say where these come from") {
    CHECK(find_place_temperature("engine-bay").value().ambient.degrees == 70);
    CHECK(find_place_temperature("Engine bay").value().basis == "common practice");
    CHECK(find_place_temperature("cabin").value().ambient.degrees == 30);
    CHECK(find_place_temperature("trunk").value().place == "boot");
    CHECK(find_place_temperature("tank").has_value());
    CHECK_FALSE(find_place_temperature("left kick panel"));
    CHECK(default_place_temperature().ambient.degrees == 30);
    for (const PlaceTemperature& place : place_temperatures()) CHECK(place.basis != "");
}

TEST_CASE("terminal stamps of DIN 72552") {
    // Five published lists; their common ground.
    const auto meaning = [](const char* stamp) { return std::string(find_stamp(stamp).value().meaning); };
    CHECK(meaning("30").find("battery") != std::string::npos);
    CHECK(meaning("15").find("ignition") != std::string::npos);
    CHECK(meaning("31").find("ground") != std::string::npos);
    CHECK(meaning("50").find("starter") != std::string::npos);
    CHECK(meaning("56b").find("dipped") != std::string::npos);
    CHECK(meaning("d+").find("generator") != std::string::npos);
    CHECK(meaning("57l") == meaning("57L"));
    CHECK(meaning("85").find("coil") != std::string::npos);
    CHECK_FALSE(find_stamp("86c"));
    CHECK_FALSE(find_stamp(""));

    // 87 is an input by the letter of the standard and the output on the common plug-in relay: both are said.
    const Stamp contact = find_stamp("87").value();
    CHECK(contact.meaning.find("input") != std::string_view::npos);
    CHECK(contact.on_plug_in_relays.find("closes") != std::string_view::npos);
    CHECK(contact.standing == Standing::confirmed);
    CHECK(find_stamp("87a").value().plug_in_standing == Standing::confirmed);
    CHECK(find_stamp("87b").value().standing == Standing::from_memory);
    CHECK(find_stamp("53c").value().standing == Standing::from_memory);

    std::set<std::string> seen;
    for (const Stamp& stamp : stamps()) {
        CAPTURE(stamp.stamp);
        CHECK(seen.insert(std::string(stamp.stamp)).second);
        CHECK(stamp.meaning != "");
    }
    CHECK(seen.size() == 66);
}

TEST_CASE("a source from memory says so; common practice says so in its own words") {
    CHECK(cite({"ISO 1", Standing::confirmed}) == "ISO 1");
    CHECK(cite({"ISO 1", Standing::from_memory}) == "ISO 1, from memory");
    CHECK(cite({"common practice", Standing::common_practice}) == "common practice");
    CHECK(weaker(Standing::confirmed, Standing::from_memory) == Standing::from_memory);
    CHECK(weaker(Standing::common_practice, Standing::from_memory) == Standing::common_practice);
    CHECK(word(Standing::from_memory) == "from memory");
}

} // namespace
} // namespace loomproof::reference
