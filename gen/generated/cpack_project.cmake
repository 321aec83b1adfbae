# Read by cpack. Files in a package carry the day of the version, unless the caller gives another, so
# that the same source makes the same package at any time.
find_program(shlibdeps dpkg-shlibdeps NO_CACHE)
if(NOT shlibdeps)
  message(FATAL_ERROR "dpkg-shlibdeps, of Debian's dpkg-dev, is needed to tell what the program depends on")
endif()
if("/usr/bin/help2man/usr/bin/scdoc" MATCHES "NOTFOUND")
  message(FATAL_ERROR "help2man and scdoc, which make the manual pages, are needed where the project is configured")
endif()
if(NOT DEFINED ENV{SOURCE_DATE_EPOCH})
  execute_process(COMMAND dpkg-parsechangelog -l "/tmp/w/unity/src/cmake/debian/changelog" -S Timestamp
                  OUTPUT_VARIABLE epoch OUTPUT_STRIP_TRAILING_WHITESPACE COMMAND_ERROR_IS_FATAL ANY)
  set(ENV{SOURCE_DATE_EPOCH} ${epoch})
endif()
