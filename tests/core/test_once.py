"""Small tables are read once for each request, job or command."""

from core.once import forget, once, reading


def counter():
    asked = []

    def read():
        asked.append(1)
        return len(asked)

    return read


def test_within_one_reading_it_is_read_once_and_in_the_next_anew():
    read = counter()
    with reading():
        assert [once("n", read), once("n", read)] == [1, 1]
    with reading():
        assert once("n", read) == 2


def test_what_was_changed_here_is_read_anew():
    read = counter()
    with reading():
        once("n", read)
        forget("n")
        assert once("n", read) == 2


def test_a_reading_within_another_has_nothing_of_it_and_leaves_it_as_it_was():
    read = counter()
    with reading():
        once("n", read)
        with reading():
            assert once("n", read) == 2
        assert once("n", read) == 1
