#include "tests/lint/proto/proto_growth.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <iterator>
#include <map>

namespace fixwright::lint {

namespace {

using namespace google::protobuf;

/// "int64", "double", or the full name of a message or enumeration.
std::string type_of(const FieldDescriptorProto& field) {
  if (field.has_type_name()) return field.type_name().substr(1);  // without the leading dot
  const std::string name = FieldDescriptorProto::Type_Name(field.type());  // TYPE_INT64
  std::string word = name.substr(std::string("TYPE_").size());
  std::transform(word.begin(), word.end(), word.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return word;
}

std::string label_of(const FieldDescriptorProto& field) {
  if (field.label() == FieldDescriptorProto::LABEL_REPEATED) return "repeated ";
  return field.proto3_optional() ? "optional " : "";
}

/// Moving a field into or out of a oneof changes what old readers see.
std::string oneof_of(const DescriptorProto& message, const FieldDescriptorProto& field) {
  if (!field.has_oneof_index() || field.proto3_optional()) return "";
  return " in oneof " + message.oneof_decl(field.oneof_index()).name();
}

class Lines {
 public:
  void add(const FileDescriptorProto& file) {
    for (const auto& message : file.message_type()) add(file.package(), message);
    for (const auto& enumeration : file.enum_type()) add(file.package(), enumeration);
    for (const auto& service : file.service()) add(file.package(), service);
  }
  std::set<std::string> take() { return std::move(lines_); }

 private:
  void add(const std::string& scope, const DescriptorProto& message) {
    const std::string name = scope + "." + message.name();
    lines_.insert("message " + name);
    for (const auto& field : message.field()) {
      lines_.insert(fmt::format("field {}.{} = {} {}{}{}", name, field.name(), field.number(),
                                label_of(field), type_of(field), oneof_of(message, field)));
    }
    for (const auto& nested : message.nested_type()) add(name, nested);
    for (const auto& enumeration : message.enum_type()) add(name, enumeration);
  }

  void add(const std::string& scope, const EnumDescriptorProto& enumeration) {
    const std::string name = scope + "." + enumeration.name();
    lines_.insert("enum " + name);
    for (const auto& value : enumeration.value()) {
      lines_.insert(fmt::format("value {}.{} = {}", name, value.name(), value.number()));
    }
  }

  void add(const std::string& scope, const ServiceDescriptorProto& service) {
    const std::string name = scope + "." + service.name();
    lines_.insert("service " + name);
    for (const auto& rpc : service.method()) {
      lines_.insert(fmt::format("rpc {}.{} ({}{}) returns ({}{})", name, rpc.name(),
                                rpc.client_streaming() ? "stream " : "", rpc.input_type().substr(1),
                                rpc.server_streaming() ? "stream " : "",
                                rpc.output_type().substr(1)));
    }
  }

  std::set<std::string> lines_;
};

// Field numbers of descriptor.proto, of which a location's path is made.
constexpr int kMessageType = FileDescriptorProto::kMessageTypeFieldNumber;
constexpr int kField = DescriptorProto::kFieldFieldNumber;
constexpr int kNestedType = DescriptorProto::kNestedTypeFieldNumber;

using Path = std::vector<int>;

std::set<Path> commented_paths(const FileDescriptorProto& file) {
  std::set<Path> paths;
  for (const auto& location : file.source_code_info().location()) {
    if (location.leading_comments().empty() && location.trailing_comments().empty()) continue;
    paths.emplace(location.path().begin(), location.path().end());
  }
  return paths;
}

void collect_uncommented(const std::string& scope, const DescriptorProto& message, const Path& path,
                         const std::set<Path>& commented, std::vector<std::string>& found) {
  const std::string name = scope + "." + message.name();
  Path child = path;
  child.insert(child.end(), {kField, 0});
  for (const auto& field : message.field()) {
    if (!commented.contains(child)) found.push_back(name + "." + field.name());
    ++child.back();
  }
  child = path;
  child.insert(child.end(), {kNestedType, 0});
  for (const auto& nested : message.nested_type()) {
    collect_uncommented(name, nested, child, commented, found);
    ++child.back();
  }
}

std::vector<std::string> difference(const std::set<std::string>& of,
                                    const std::set<std::string>& without) {
  std::vector<std::string> left;
  std::set_difference(of.begin(), of.end(), without.begin(), without.end(),
                      std::back_inserter(left));
  return left;
}

}  // namespace

std::set<std::string> contract_lines(const FileDescriptorSet& files) {
  Lines lines;
  for (const auto& file : files.file()) lines.add(file);
  return lines.take();
}

std::vector<std::string> broken_promises(const std::set<std::string>& snapshot,
                                         const FileDescriptorSet& files) {
  return difference(snapshot, contract_lines(files));
}

std::vector<std::string> new_promises(const std::set<std::string>& snapshot,
                                      const FileDescriptorSet& files) {
  return difference(contract_lines(files), snapshot);
}

std::vector<std::string> uncommented_fields(const FileDescriptorSet& files) {
  std::vector<std::string> found;
  for (const auto& file : files.file()) {
    const std::set<Path> commented = commented_paths(file);
    for (int i = 0; i < file.message_type_size(); ++i) {
      collect_uncommented(file.package(), file.message_type(i), {kMessageType, i}, commented,
                          found);
    }
  }
  return found;
}

}  // namespace fixwright::lint
