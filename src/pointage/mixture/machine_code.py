"""The kernel's machine code, made for this very processor.

The compiler's text of a function holds all it knows of errors and of Python's objects. Here what
the kernel's functions do not need of it is taken out, until what is left asks for nothing but
arithmetic: that can be loaded without the compiler (`compiled.py`).
"""

from __future__ import annotations

from llvmlite import binding as llvm

MATHEMATICS = {"exp", "exp2", "pow", "log", "log10", "log1p", "sqrt", "memset", "memcpy"}
"""What every system's own library has, and machine code may call."""


def processor() -> str:
    """Which processor this is, and what it can do."""
    return f"{llvm.get_host_cpu_name()} {llvm.get_host_cpu_features().flatten()}"


def target_machine() -> llvm.TargetMachine:
    """How machine code is made and read for this processor."""
    llvm.initialize_native_target()
    llvm.initialize_native_asmprinter()
    return llvm.Target.from_default_triple().create_target_machine(
        cpu=llvm.get_host_cpu_name(),
        features=llvm.get_host_cpu_features().flatten(),
        opt=3,
        codemodel="jitdefault",
        jit=True,
    )


def machine_code() -> bytes:
    """Compile the kernel: an object file with its functions, each by its own name.

    Takes some seconds. RuntimeError where it would call what no system has: a change of the kernel
    that can fail, or makes an array, needs the compiler's own library.
    """
    from pointage.mixture import kernel
    from pointage.mixture.learning import likelihood

    machine = target_machine()
    whole = llvm.parse_assembly("")
    names = set()
    for each in (*kernel.functions(), *likelihood.functions()):
        names.add(each.__name__)
        text = each.inspect_llvm().replace(each.native_name, each.__name__)
        whole.link_in(llvm.parse_assembly(text))
    for part in (*whole.functions, *whole.global_variables):
        if not part.is_declaration and part.name not in names:
            part.linkage = "internal"
    options = llvm.create_pipeline_tuning_options(speed_level=3)
    builder = llvm.create_pass_builder(machine, options)
    for _ in range(2):  # the second time, what the first showed to be in vain
        builder.getModulePassManager().run(whole, builder)
    called = {each.name for each in whole.functions if each.is_declaration}
    unknown = {name for name in called if not name.startswith("llvm.")} - MATHEMATICS
    if unknown:
        raise RuntimeError(f"the kernel calls {', '.join(sorted(unknown))}")
    return bytes(machine.emit_object(whole))
