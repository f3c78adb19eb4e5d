# The pages of docs/ lie in the program (include/settle/manual.h): a source with their texts, written anew
# whenever one changes.
file(GLOB manual_files CONFIGURE_DEPENDS docs/*.md)
set(manual_entries "")
foreach(manual_file IN LISTS manual_files)
  get_filename_component(manual_name ${manual_file} NAME_WE)
  file(READ ${manual_file} manual_page)
  string(APPEND manual_entries "    {\"${manual_name}\", R\"settle_page(${manual_page})settle_page\"},\n")
  set_property(DIRECTORY APPEND PROPERTY CMAKE_CONFIGURE_DEPENDS ${manual_file})
endforeach()
configure_file(src/report/manual_pages.cpp.in ${CMAKE_CURRENT_BINARY_DIR}/manual_pages.cpp @ONLY)
target_sources(settle_report PRIVATE ${CMAKE_CURRENT_BINARY_DIR}/manual_pages.cpp)
