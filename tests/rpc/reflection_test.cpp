/// What a caller with nothing but the address can find out.
/// Source: "GRPC Server Reflection Protocol",
/// github.com/grpc/grpc/blob/master/doc/server-reflection.md: service
/// grpc.reflection.v1alpha.ServerReflection, request field list_services, response field
/// list_services_response.

#include <google/protobuf/descriptor.h>
#include <google/protobuf/dynamic_message.h>
#include <grpcpp/ext/proto_server_reflection_plugin.h>
#include <grpcpp/generic/generic_stub.h>
#include <grpcpp/impl/codegen/proto_utils.h>

#include "tests/rpc/rpc_fixture.hpp"

namespace fixwright::rpc {
namespace {

using google::protobuf::Message;

class ReflectionTest : public RpcTest {
 protected:
  /// gRPC ships the reflection messages inside its library, without a header.
  std::unique_ptr<Message> message(const std::string& name) {
    const auto* type = google::protobuf::DescriptorPool::generated_pool()->FindMessageTypeByName(
        "grpc.reflection.v1alpha." + name);
    if (type == nullptr) throw std::runtime_error("no message " + name);
    return std::unique_ptr<Message>(factory_.GetPrototype(type)->New());
  }

  std::unique_ptr<Message> ask(const std::string& field, const std::string& value) {
    const auto request = message("ServerReflectionRequest");
    request->GetReflection()->SetString(request.get(),
                                        request->GetDescriptor()->FindFieldByName(field), value);
    grpc::ByteBuffer bytes;
    bool own = false;
    EXPECT_TRUE(grpc::SerializationTraits<Message>::Serialize(*request, &bytes, &own).ok());
    const grpc::ByteBuffer answer = exchange(bytes);
    auto response = message("ServerReflectionResponse");
    grpc::ByteBuffer copy = answer;
    EXPECT_TRUE(grpc::SerializationTraits<Message>::Deserialize(&copy, response.get()).ok());
    return response;
  }

 private:
  grpc::ByteBuffer exchange(const grpc::ByteBuffer& request) {
    grpc::GenericStub stub(channel());
    grpc::ClientContext context;
    context.set_deadline(std::chrono::system_clock::now() + kPatience);
    grpc::CompletionQueue queue;
    const auto next = [&queue] {
      void* tag = nullptr;
      bool ok = false;
      EXPECT_TRUE(queue.Next(&tag, &ok) && ok);
    };
    auto call = stub.PrepareCall(
        &context, "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo", &queue);
    call->StartCall(&call);
    next();
    call->Write(request, &call);
    next();
    grpc::ByteBuffer response;
    call->Read(&response, &call);
    next();
    context.TryCancel();
    grpc::Status status;
    call->Finish(&status, &call);
    next();
    return response;
  }

  google::protobuf::DynamicMessageFactory factory_;
};

TEST_F(ReflectionTest, ListsBothServicesAndHealth) {
  const auto response = ask("list_services", "");
  const std::string text = response->ShortDebugString();
  EXPECT_THAT(text, testing::HasSubstr("name: \"fixwright.station.v1.StationService\""));
  EXPECT_THAT(text, testing::HasSubstr("name: \"fixwright.query.v1.QueryService\""));
  EXPECT_THAT(text, testing::HasSubstr("name: \"grpc.health.v1.Health\""));
}

TEST_F(ReflectionTest, GivesTheFileThatDefinesAService) {
  const auto response = ask("file_containing_symbol", "fixwright.query.v1.QueryService");
  EXPECT_THAT(response->ShortDebugString(), testing::HasSubstr("ListEmittersRequest"));
}

TEST_F(ReflectionTest, SaysThatASymbolIsNotThere) {
  const auto response = ask("file_containing_symbol", "fixwright.query.v1.Nothing");
  EXPECT_THAT(response->ShortDebugString(), testing::HasSubstr("error_code: 5"));  // NOT_FOUND
}

}  // namespace
}  // namespace fixwright::rpc
