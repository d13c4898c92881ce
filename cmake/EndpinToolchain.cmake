# Compiler settings shared by every target, and the third-party packages, each found once.
set(CMAKE_CXX_STANDARD 20)
set(CMAKE_CXX_STANDARD_REQUIRED ON)
set(CMAKE_CXX_EXTENSIONS OFF)
if(NOT EMSCRIPTEN)  # one module, linked statically
  set(CMAKE_POSITION_INDEPENDENT_CODE ON)
endif()

find_program(CCACHE ccache)
if(CCACHE)
  set(CMAKE_C_COMPILER_LAUNCHER ${CCACHE})
  set(CMAKE_CXX_COMPILER_LAUNCHER ${CCACHE})
endif()

add_library(endpin_options INTERFACE)
# No fused multiply-add behind our back: the native and the WebAssembly build must agree.
target_compile_options(endpin_options INTERFACE -ffp-contract=off)
target_compile_options(endpin_options INTERFACE
  -Wall -Wextra -Wno-missing-field-initializers -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion -Wnon-virtual-dtor
  -Woverloaded-virtual -Wold-style-cast)
if(ENDPIN_WARNINGS_AS_ERRORS)
  target_compile_options(endpin_options INTERFACE -Werror)
endif()
if(ENDPIN_SANITIZE)
  target_compile_options(endpin_options INTERFACE
    -fsanitize=${ENDPIN_SANITIZE} -fno-omit-frame-pointer -fno-sanitize-recover=all)
  target_link_options(endpin_options INTERFACE -fsanitize=${ENDPIN_SANITIZE})
endif()

if(EMSCRIPTEN)
  # Header-only packages of the host, linked one by one: the host's whole include folder would
  # shadow the C library of the target.
  set(ENDPIN_HOST_HEADERS ${CMAKE_BINARY_DIR}/host_headers)
  file(MAKE_DIRECTORY ${ENDPIN_HOST_HEADERS})
  foreach(package nlohmann fmt)
    file(CREATE_LINK /usr/include/${package} ${ENDPIN_HOST_HEADERS}/${package} SYMBOLIC)
  endforeach()
  file(CREATE_LINK /usr/include/eigen3/Eigen ${ENDPIN_HOST_HEADERS}/Eigen SYMBOLIC)
  file(CREATE_LINK /usr/include/eigen3/unsupported ${ENDPIN_HOST_HEADERS}/unsupported SYMBOLIC)
  foreach(alias fmt::fmt nlohmann_json::nlohmann_json Eigen3::Eigen)
    add_library(${alias} INTERFACE IMPORTED GLOBAL)
    target_include_directories(${alias} SYSTEM INTERFACE ${ENDPIN_HOST_HEADERS})
  endforeach()
  target_compile_definitions(fmt::fmt INTERFACE FMT_HEADER_ONLY=1)
  # Nothing catches in the browser's build: an exception's text would be carried and never read.
  target_compile_definitions(nlohmann_json::nlohmann_json INTERFACE JSON_NOEXCEPTION)
else()
  find_package(fmt REQUIRED)
  find_package(nlohmann_json REQUIRED)
  find_package(Eigen3 REQUIRED NO_MODULE)
  find_package(PkgConfig REQUIRED)
  find_package(Threads REQUIRED)
  find_package(CLI11 REQUIRED)
  if(ENDPIN_TESTS)
    enable_testing()
    find_package(GTest REQUIRED)
    include(GoogleTest)
  endif()
endif()
