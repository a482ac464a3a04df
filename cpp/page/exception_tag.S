# What is thrown: an exception of C++.
.globl __cpp_exception
.tagtype __cpp_exception i32
__cpp_exception:
