# cmake -DFOLDER=data/catalogue -DOUT=table.inc -P embed_catalogue.cmake
# Turns FOLDER/<subject>/<language>.json, one `"key": "text"` a line, into lines
# `{Language::de, "key", "text"},`: the escapes of a JSON string are those of a C++ one.
set(output "")
foreach(language en-US en-GB de fr es it pt)
  string(TOLOWER ${language} enumerator)
  string(REPLACE "-" "_" enumerator ${enumerator})
  file(GLOB files ${FOLDER}/*/${language}.json)
  foreach(file IN LISTS files)
    file(READ "${file}" text)
    string(REGEX REPLACE "\n *(\"[^\"\n]+\"): *(\"[^\n]*\"),?"
      "\n{Language::${enumerator}, \\1, \\2}," text "${text}")
    string(REGEX REPLACE "^{|}\n*$" "" text "${text}")
    string(APPEND output "${text}")
  endforeach()
endforeach()
file(WRITE "${OUT}" "${output}")
