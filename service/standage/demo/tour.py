def run_demo(*, host: str, port: int, leave: bool, environment: dict[str, str]) -> None:
    raise NotImplementedError
