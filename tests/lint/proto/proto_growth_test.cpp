/// v1 only grows. Agents in the field are older than the server, and scripts are older than both:
/// what v1 once said it says for ever (proto/README.md).

#include "tests/lint/proto/proto_growth.hpp"

#include <gmock/gmock.h>

#include <fstream>

namespace fixwright::lint {
namespace {

using google::protobuf::DescriptorProto;
using google::protobuf::FieldDescriptorProto;
using google::protobuf::FileDescriptorProto;
using google::protobuf::FileDescriptorSet;
using testing::Contains;
using testing::ElementsAre;
using testing::IsEmpty;

FileDescriptorSet contract() {
  FileDescriptorSet files;
  std::ifstream in(FIXWRIGHT_DESCRIPTORS, std::ios::binary);
  if (!files.ParseFromIstream(&in)) throw std::runtime_error("cannot read " FIXWRIGHT_DESCRIPTORS);
  return files;
}

std::set<std::string> snapshot() {
  std::ifstream in(FIXWRIGHT_SNAPSHOT);
  std::set<std::string> lines;
  for (std::string line; std::getline(in, line);) {
    if (!line.empty() && line.front() != '#') lines.insert(line);
  }
  return lines;
}

template <typename Named>
Named& named(google::protobuf::RepeatedPtrField<Named>& all, const std::string& name) {
  for (auto& one : all) {
    if (one.name() == name) return one;
  }
  throw std::runtime_error("nothing is named " + name);
}

FileDescriptorProto& station_file(FileDescriptorSet& files) {
  return named(*files.mutable_file(), "fixwright/station/v1/station.proto");
}

DescriptorProto& message(FileDescriptorSet& files, const std::string& name) {
  return named(*station_file(files).mutable_message_type(), name);
}

FieldDescriptorProto& azimuth(FileDescriptorSet& files) {
  return named(*message(files, "Bearing").mutable_field(), "azimuth_deg");
}

constexpr const char* kAzimuth = "field fixwright.station.v1.Bearing.azimuth_deg = 7 double";

/// One failure a line, so that none is cut off.
void expect_none(const std::vector<std::string>& problems, const std::string& what_to_do) {
  for (const std::string& problem : problems) ADD_FAILURE() << problem << "\n" << what_to_do;
}

TEST(ProtoGrowth, V1KeepsEveryPromiseOfTheSnapshot) {
  ASSERT_THAT(snapshot(), Contains(kAzimuth)) << "the snapshot was not read";
  expect_none(broken_promises(snapshot(), contract()),
              "was lost, renumbered, retyped or renamed: take it back, add a new field instead");
}

TEST(ProtoGrowth, TheSnapshotHasAllThatV1Says) {
  expect_none(new_promises(snapshot(), contract()), "is new: append it to " FIXWRIGHT_SNAPSHOT);
}

TEST(ProtoGrowth, EveryFieldHasAComment) {
  expect_none(uncommented_fields(contract()), "has no comment: say unit, range, meaning, absence");
}

// That the lint can fail, on copies with one fault each:

TEST(ProtoGrowthCanFail, OnALostField) {
  FileDescriptorSet files = contract();
  auto& fields = *message(files, "Bearing").mutable_field();
  for (int i = 0; i < fields.size(); ++i) {
    if (fields[i].name() == "azimuth_deg") fields.DeleteSubrange(i, 1);
  }
  EXPECT_THAT(broken_promises(snapshot(), files), ElementsAre(kAzimuth));
}

TEST(ProtoGrowthCanFail, OnARenumberedField) {
  FileDescriptorSet files = contract();
  azimuth(files).set_number(70);
  EXPECT_THAT(broken_promises(snapshot(), files), ElementsAre(kAzimuth));
  EXPECT_THAT(new_promises(snapshot(), files),
              ElementsAre("field fixwright.station.v1.Bearing.azimuth_deg = 70 double"));
}

TEST(ProtoGrowthCanFail, OnARenamedField) {
  FileDescriptorSet files = contract();
  azimuth(files).set_name("bearing_deg");
  EXPECT_THAT(broken_promises(snapshot(), files), ElementsAre(kAzimuth));
}

TEST(ProtoGrowthCanFail, OnARetypedField) {
  FileDescriptorSet files = contract();
  azimuth(files).set_type(FieldDescriptorProto::TYPE_FLOAT);
  EXPECT_THAT(broken_promises(snapshot(), files), ElementsAre(kAzimuth));
}

TEST(ProtoGrowthCanFail, OnAFieldThatBecomesRepeatedOrOptional) {
  FileDescriptorSet files = contract();
  azimuth(files).set_label(FieldDescriptorProto::LABEL_REPEATED);
  EXPECT_THAT(broken_promises(snapshot(), files), ElementsAre(kAzimuth));
  files = contract();
  azimuth(files).set_proto3_optional(true);
  EXPECT_THAT(broken_promises(snapshot(), files), ElementsAre(kAzimuth));
}

TEST(ProtoGrowthCanFail, OnAFieldThatLeavesItsOneof) {
  FileDescriptorSet files = contract();
  named(*message(files, "StationMessage").mutable_field(), "hello").clear_oneof_index();
  EXPECT_THAT(broken_promises(snapshot(), files),
              ElementsAre("field fixwright.station.v1.StationMessage.hello = 1 "
                          "fixwright.station.v1.Hello in oneof message"));
}

TEST(ProtoGrowthCanFail, OnARenumberedValueOfAnEnumeration) {
  FileDescriptorSet files = contract();
  auto& states = named(*station_file(files).mutable_enum_type(), "ClockState");
  named(*states.mutable_value(), "CLOCK_STATE_HOLDOVER").set_number(3);
  EXPECT_THAT(broken_promises(snapshot(), files),
              ElementsAre("value fixwright.station.v1.ClockState.CLOCK_STATE_HOLDOVER = 2"));
}

TEST(ProtoGrowthCanFail, OnACallThatStreamsNoMore) {
  FileDescriptorSet files = contract();
  station_file(files).mutable_service(0)->mutable_method(0)->set_client_streaming(false);
  EXPECT_THAT(broken_promises(snapshot(), files),
              ElementsAre("rpc fixwright.station.v1.StationService.Stream (stream "
                          "fixwright.station.v1.StationMessage) returns (stream "
                          "fixwright.station.v1.ServerMessage)"));
}

TEST(ProtoGrowthCanFail, OnALostService) {
  FileDescriptorSet files = contract();
  station_file(files).clear_service();
  EXPECT_THAT(broken_promises(snapshot(), files),
              Contains("service fixwright.station.v1.StationService"));
}

TEST(ProtoGrowthCanFail, OnANewFieldThatTheSnapshotDoesNotHave) {
  FileDescriptorSet files = contract();
  auto& added = *message(files, "Heartbeat").add_field();
  added.set_name("temperature_k");
  added.set_number(8);
  added.set_type(FieldDescriptorProto::TYPE_DOUBLE);
  EXPECT_THAT(broken_promises(snapshot(), files), IsEmpty()) << "growing is allowed";
  EXPECT_THAT(new_promises(snapshot(), files),
              ElementsAre("field fixwright.station.v1.Heartbeat.temperature_k = 8 double"));
  EXPECT_THAT(uncommented_fields(files), Contains("fixwright.station.v1.Heartbeat.temperature_k"));
}

TEST(ProtoGrowthCanFail, OnEveryFieldOnceTheCommentsAreGone) {
  FileDescriptorSet files = contract();
  for (auto& file : *files.mutable_file()) file.clear_source_code_info();
  std::size_t fields = 0;
  for (const std::string& line : contract_lines(files))
    fields += line.starts_with("field ") ? 1 : 0;
  EXPECT_EQ(uncommented_fields(files).size(), fields);
}

}  // namespace
}  // namespace fixwright::lint
