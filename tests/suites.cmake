# Read by ctest before it begins, once for each GoogleTest program: asks it for its suites and lists each as one test,
# <folder>/<suite>, so that what the tests of a suite share is made once. The cases are counted by tests/count.py, from the
# report that each process writes. A program that is not built is a test that fails.
# Given: program, folder, labels, timeout, long (suites with that label too), reports
execute_process(COMMAND ${program} --gtest_list_tests OUTPUT_VARIABLE listed RESULT_VARIABLE failed ERROR_VARIABLE complaint)
if(failed)
  add_test(${folder}/cannot_be_listed ${program} --gtest_list_tests)
  set_tests_properties(${folder}/cannot_be_listed PROPERTIES LABELS "${labels}")
  set(listed "")
endif()
string(REGEX MATCHALL "(^|\n)[A-Za-z0-9_/]+\\." suites "${listed}")
foreach(suite ${suites})
  string(REGEX REPLACE "[\n.]" "" suite ${suite})
  # what takes many minutes is listed when it is asked for: GYLED_LONG_FAULTS=1 ctest --preset dev -L long_faults
  if(suite MATCHES "^LongFaults" AND NOT DEFINED ENV{GYLED_LONG_FAULTS})
    continue()
  endif()
  string(REPLACE "/" "." report ${folder}.${suite}.xml)
  file(REMOVE ${reports}/${report})
  add_test(${folder}/${suite} ${program} --gtest_filter=${suite}.* --gtest_output=xml:${reports}/${report})
  set(its_labels ${labels})
  if(suite MATCHES "^LongFaults")
    list(APPEND its_labels long_faults)
  endif()
  set(cost 0)
  list(FIND long ${suite} place)
  if(NOT place EQUAL -1)
    list(APPEND its_labels long)
    list(REMOVE_AT long ${place})
    set(cost 1000)  # seconds, roughly: begun first, so that the last test to end is a short one
  endif()
  set_tests_properties(${folder}/${suite} PROPERTIES LABELS "${its_labels}" TIMEOUT ${timeout} COST ${cost})
endforeach()
foreach(missing ${long})  # a name that no suite has is a test that fails
  add_test(${folder}/${missing} no_such_suite)
endforeach()
