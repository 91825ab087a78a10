"""placeholder"""


def add_control(app, standin):
    pass
