# cmake -DFOLDER=data/catalogue -DOUT=table.inc [-DSUBJECTS="findings names"] -P embed_catalogue.cmake
# Turns FOLDER/<subject>/<language>.json, one `"key": "text"` a line, into lines
# `{Language::de, "key", "text"},`: the escapes of a JSON string are those of a C++ one.
set(output "")
foreach(language en-US en-GB de fr es it pt)
  string(TOLOWER ${language} enumerator)
  string(REPLACE "-" "_" enumerator ${enumerator})
  if(SUBJECTS)
    separate_arguments(subjects UNIX_COMMAND "${SUBJECTS}")
    list(TRANSFORM subjects PREPEND ${FOLDER}/)
    list(TRANSFORM subjects APPEND /${language}.json)
    file(GLOB files ${subjects})
  else()
    file(GLOB files ${FOLDER}/*/${language}.json)
  endif()
  foreach(file IN LISTS files)
    file(READ "${file}" text)
    string(REGEX REPLACE "\n *(\"[^\"\n]+\"): *(\"[^\n]*\"),?"
      "\n{Language::${enumerator}, \\1, \\2}," text "${text}")
    string(REGEX REPLACE "^{|}\n*$" "" text "${text}")
    string(APPEND output "${text}")
  endforeach()
endforeach()
file(WRITE "${OUT}" "${output}")
