# cmake -DFOLDER=data/catalogue -DOUT=table.inc [-DKINDS="finding|word"] -P embed_catalogue.cmake
# Turns FOLDER/<subject>/<language>.json, one `"key": "text"` a line, into lines
# `{Language::de, "key", "text"},`: the escapes of a JSON string are those of a C++ one.
# KINDS: what a key may begin with, up to its first point; without it every key is taken.
if(NOT KINDS)
  set(KINDS "[^.\"\n]+")
endif()
set(output "")
foreach(language en-US en-GB de fr es it pt)
  string(TOLOWER ${language} enumerator)
  string(REPLACE "-" "_" enumerator ${enumerator})
  file(GLOB files ${FOLDER}/*/${language}.json)
  foreach(file IN LISTS files)
    file(READ "${file}" text)
    string(REGEX REPLACE "\n *(\"(${KINDS})[.][^\"\n]+\"): *(\"[^\n]*\"),?"
      "\n{Language::${enumerator}, \\1, \\3}," text "${text}")
    string(REGEX REPLACE "^{|\n *\"[^\n]*|\n}\n*$" "" text "${text}")
    string(APPEND output "${text}")
  endforeach()
endforeach()
file(WRITE "${OUT}" "${output}")
