"""How a bad case says what is to be found in it: at the end of a line, with the words under the
caret in quotation marks."""

import re

EXPECTATION = re.compile(r'<!-- (error|warning) ([A-Z][0-9]{3}) "([^"]+|.+?)" -->')
